using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>What a person said of a day's winds.</summary>
public sealed record SignOffRow
{
    /// <summary>Grows with time.</summary>
    public long Id { get; init; }
    /// <summary>UTC day, days since 1970-01-01; orbits count for the day on which they begin.</summary>
    public required long Day { get; init; }
    /// <summary>1 for the day's first sign-off, and so on; the newest counts.</summary>
    public required long Revision { get; init; }
    /// <summary>usable | remarks | held.</summary>
    public required string Verdict { get; init; }
    /// <summary>What the system had proposed.</summary>
    public required string Proposed { get; init; }
    /// <summary>Reasons and numbers as the person saw them, JSON.</summary>
    public required string Proposal { get; init; }
    /// <summary>Key of the ground that it rests on.</summary>
    public required string GroundKey { get; init; }
    /// <summary>In the person's words; empty where they added none.</summary>
    public string Remark { get; init; } = "";
    /// <summary>Who.</summary>
    public required string Actor { get; init; }
    /// <summary>Role in which they did.</summary>
    public required string Role { get; init; }
    /// <summary>Wall clock.</summary>
    public required Instant Time { get; init; }
    /// <summary>True when the person said other than the system.</summary>
    public bool Overruled => Verdict != Proposed;
}

/// <summary>An orbit was held, or let go.</summary>
public sealed record OrbitHoldRow
{
    /// <summary>Grows with time.</summary>
    public long Id { get; init; }
    /// <summary>Orbit.</summary>
    public required int Orbit { get; init; }
    /// <summary>1 for the orbit's first, and so on; the newest counts.</summary>
    public required long Revision { get; init; }
    /// <summary>True: held; false: let go.</summary>
    public required bool Held { get; init; }
    /// <summary>Why.</summary>
    public required string Reason { get; init; }
    /// <summary>Who.</summary>
    public required string Actor { get; init; }
    /// <summary>Role.</summary>
    public required string Role { get; init; }
    /// <summary>Wall clock.</summary>
    public required Instant Time { get; init; }
}

/// <summary>A note from shift to shift.</summary>
public sealed record HandOverRow
{
    /// <summary>Grows with time.</summary>
    public long Id { get; init; }
    /// <summary>UTC day that it was written about, days since 1970-01-01; null = none in particular.</summary>
    public long? Day { get; init; }
    /// <summary>The note.</summary>
    public required string Text { get; init; }
    /// <summary>Who wrote it.</summary>
    public required string Actor { get; init; }
    /// <summary>Role.</summary>
    public required string Role { get; init; }
    /// <summary>Wall clock.</summary>
    public required Instant Time { get; init; }
}

/// <summary>Who read a note.</summary>
/// <param name="Note">The note.</param>
/// <param name="Actor">Who.</param>
/// <param name="Time">When, wall clock.</param>
public sealed record HandOverReadRow(long Note, string Actor, Instant Time);
