using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>One version of a planned activity as a person entered, changed or cancelled it.</summary>
public sealed record ActivityVersionRow
{
    /// <summary>A version that is planned.</summary>
    public const string Planned = "planned";

    /// <summary>A version that is cancelled.</summary>
    public const string Cancelled = "cancelled";

    /// <summary>Id; grows with time.</summary>
    public long Id { get; init; }
    /// <summary>The activity: the calendar's UID, with the start of the occurrence where it repeats.</summary>
    public required string Activity { get; init; }
    /// <summary>Id of its kind.</summary>
    public required string Kind { get; init; }
    /// <summary>Title.</summary>
    public required string Title { get; init; }
    /// <summary>Start.</summary>
    public required Instant From { get; init; }
    /// <summary>End.</summary>
    public required Instant To { get; init; }
    /// <summary>Further text; empty = none.</summary>
    public string Note { get; init; } = "";
    /// <summary>Topics of flags that it is expected to cause, joined by commas; null = those of its kind.</summary>
    public string? Expects { get; init; }
    /// <summary>planned | cancelled.</summary>
    public required string Status { get; init; }
    /// <summary>SEQUENCE that it counts as.</summary>
    public long Sequence { get; init; }
    /// <summary>Who.</summary>
    public required string Actor { get; init; }
    /// <summary>With which role.</summary>
    public required string Role { get; init; }
    /// <summary>Wall clock.</summary>
    public required Instant Time { get; init; }
    /// <summary>Why, in the person's words; empty = not said.</summary>
    public string Reason { get; init; } = "";
}
