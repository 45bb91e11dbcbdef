using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>Where a coefficient set comes from.</summary>
public static class CoefficientSource
{
    /// <summary>The mission profile: the first set.</summary>
    public const string Profile = "profile";
    /// <summary>A person, number by number or as a file.</summary>
    public const string ByHand = "by hand";
    /// <summary>A fit on orbits that a person chose.</summary>
    public const string Fit = "fit";
    /// <summary>A fit that the program made because drift was significant.</summary>
    public const string System = "system";
}

/// <summary>Words for decisions about sets, and what a set's state is called.</summary>
public static class CoefficientDecision
{
    /// <summary>Proposed, and nobody has decided yet.</summary>
    public const string Proposed = "proposed";
    /// <summary>In force from an orbit on.</summary>
    public const string Approved = "approved";
    /// <summary>Not to be used.</summary>
    public const string Declined = "declined";
    /// <summary>Taken back by its proposer before anybody decided.</summary>
    public const string Withdrawn = "withdrawn";
    /// <summary>A set that was approved once is in force again from an orbit on.</summary>
    public const string Reinstated = "reinstated";

    /// <summary>Whether a decision, or a state that is called by it, puts a set in force.</summary>
    public static bool PutsInForce(string decision) => decision is Approved or Reinstated;
}

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
    /// <summary>The role in which it was proposed.</summary>
    public string ProposedRole { get; init; } = Roles.System;
    /// <summary>Remote address of the request; null for the program itself.</summary>
    public string? ProposedFrom { get; init; }
    /// <summary>Wall clock of the proposal.</summary>
    public required Instant Proposed { get; init; }
    /// <summary>See <see cref="CoefficientSource"/>.</summary>
    public string Source { get; init; } = CoefficientSource.Profile;
    /// <summary>Why it is proposed.</summary>
    public string Reason { get; init; } = "";
    /// <summary>From which fit on which data.</summary>
    public string Basis { get; init; } = "";
    /// <summary>The set that was in force where this one was meant to begin, when it was proposed; null for the first one.</summary>
    public long? Against { get; init; }
    /// <summary>Version of the program that took it in.</summary>
    public string SoftwareVersion { get; init; } = "";
    /// <summary>See <see cref="CoefficientDecision"/>: the last decision.</summary>
    public string State { get; init; } = CoefficientDecision.Proposed;
}

/// <summary>A coefficient set in a list: everything but its numbers, with what there is of evidence and decisions. Reading it touches no document.</summary>
public sealed record CoefficientHead
{
    /// <summary>Id.</summary>
    public long Id { get; init; }
    /// <summary>Name.</summary>
    public required string Name { get; init; }
    /// <summary>SHA-256 of the set's JSON.</summary>
    public byte[] Hash { get; init; } = [];
    /// <summary>From when it was meant.</summary>
    public required Instant ValidFrom { get; init; }
    /// <summary>Who proposed it.</summary>
    public required string ProposedBy { get; init; }
    /// <summary>The role in which it was proposed.</summary>
    public required string ProposedRole { get; init; }
    /// <summary>Wall clock of the proposal.</summary>
    public required Instant Proposed { get; init; }
    /// <summary>See <see cref="CoefficientSource"/>.</summary>
    public required string Source { get; init; }
    /// <summary>Why it is proposed.</summary>
    public required string Reason { get; init; }
    /// <summary>From which fit on which data.</summary>
    public required string Basis { get; init; }
    /// <summary>The set that was in force where this one was meant to begin, when it was proposed.</summary>
    public long? Against { get; init; }
    /// <summary>Version of the program that took it in.</summary>
    public required string SoftwareVersion { get; init; }
    /// <summary>See <see cref="CoefficientDecision"/>: the last decision.</summary>
    public required string State { get; init; }
    /// <summary>Number of decisions about it.</summary>
    public long Decisions { get; init; }
    /// <summary>How often evidence was computed.</summary>
    public long Evidences { get; init; }
    /// <summary>The newest evidence: id; null when there is none.</summary>
    public long? EvidenceId { get; init; }
    /// <summary>The set that the newest evidence compares with.</summary>
    public long? EvidenceAgainst { get; init; }
    /// <summary>Wall clock of the newest evidence.</summary>
    public Instant? EvidenceComputed { get; init; }
    /// <summary>Version of the program that computed the newest evidence.</summary>
    public string? EvidenceVersion { get; init; }
}

/// <summary>A computed document about what a proposed set would change. The newest one of a set counts.</summary>
public sealed record CoefficientEvidenceRow
{
    /// <summary>Id.</summary>
    public long Id { get; init; }
    /// <summary>The proposed set.</summary>
    public required long SetId { get; init; }
    /// <summary>The set that it was compared with; null for none.</summary>
    public long? Against { get; init; }
    /// <summary>Wall clock.</summary>
    public required Instant Computed { get; init; }
    /// <summary>The document, JSON.</summary>
    public required string Document { get; init; }
    /// <summary>Version of the program that computed it.</summary>
    public required string SoftwareVersion { get; init; }
}

/// <summary>A decision about a set. Going back to an earlier set is a new decision.</summary>
public sealed record CoefficientDecisionRow
{
    /// <summary>Id; decisions are in the order in which they were taken.</summary>
    public long Id { get; init; }
    /// <summary>The set.</summary>
    public required long SetId { get; init; }
    /// <summary>See <see cref="CoefficientDecision"/>.</summary>
    public required string Decision { get; init; }
    /// <summary>In force from here on (the first set: from <see cref="Instant.MinValue"/>); null: declined or withdrawn.</summary>
    public Instant? FromTime { get; init; }
    /// <summary>The orbit that begins there; null for the first set, for a declined one, and where no orbit file reached so far when it was decided.</summary>
    public int? FromOrbit { get; init; }
    /// <summary>True: entries of the time line behind the start go; false: the next one takes over where it begins.</summary>
    public bool OverLater { get; init; }
    /// <summary>The set that was in force at the start until now; null for the first one and for a declined one.</summary>
    public long? InPlaceOf { get; init; }
    /// <summary>Evidence that was there to be seen; null when there was none.</summary>
    public long? Evidence { get; init; }
    /// <summary>Who.</summary>
    public required string Actor { get; init; }
    /// <summary>The role in which it was decided.</summary>
    public required string Role { get; init; }
    /// <summary>Remote address of the request; null for the program itself.</summary>
    public string? Address { get; init; }
    /// <summary>Wall clock.</summary>
    public required Instant Time { get; init; }
    /// <summary>Why.</summary>
    public required string Note { get; init; }
    /// <summary>Version of the program that wrote it down.</summary>
    public required string SoftwareVersion { get; init; }
}
