using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>A coefficient set as it was proposed, with what was decided last. The set itself never changes.</summary>
public sealed record CoefficientSetRow
{
    /// <summary>Id.</summary>
    public long Id { get; init; }
    /// <summary>Name.</summary>
    public required string Name { get; init; }
    /// <summary>SHA-256 of <see cref="Json"/>.</summary>
    public byte[] Hash { get; init; } = [];
    /// <summary>The whole set, its flats included, as JSON.</summary>
    public required string Json { get; init; }
    /// <summary>From when it was meant.</summary>
    public required Instant ValidFrom { get; init; }
    /// <summary>Who proposed it.</summary>
    public required string ProposedBy { get; init; }
    /// <summary>Wall clock of the proposal.</summary>
    public required Instant Proposed { get; init; }
    /// <summary>From which fit on which data.</summary>
    public string Basis { get; init; } = "";
    /// <summary>Evidence on orbits that the fit did not see, JSON.</summary>
    public string Evidence { get; init; } = "{}";
    /// <summary>proposed | approved | declined: the last decision.</summary>
    public string State { get; init; } = "proposed";
}

/// <summary>A decision about a set. Going back to an earlier set is a new approval.</summary>
public sealed record CoefficientDecisionRow
{
    /// <summary>Id; decisions are in the order in which they were taken.</summary>
    public long Id { get; init; }
    /// <summary>The set.</summary>
    public required long SetId { get; init; }
    /// <summary>approved | declined.</summary>
    public required string Decision { get; init; }
    /// <summary>Approved: in force from here on (the first set: from <see cref="Instant.MinValue"/>).</summary>
    public required Instant FromTime { get; init; }
    /// <summary>Who.</summary>
    public required string Actor { get; init; }
    /// <summary>Wall clock.</summary>
    public required Instant Time { get; init; }
    /// <summary>Why.</summary>
    public string Note { get; init; } = "";
}
