using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>Words of proposals to change the rules, and of what was decided about them.</summary>
public static class RuleWords
{
    /// <summary>Source: the profile's rules file.</summary>
    public const string Profile = "profile";
    /// <summary>Source: a person.</summary>
    public const string ByHand = "by hand";
    /// <summary>State: nobody has decided yet.</summary>
    public const string Proposed = "proposed";
    /// <summary>Decision: in force from an orbit on.</summary>
    public const string Approved = "approved";
    /// <summary>Decision: not to be used.</summary>
    public const string Declined = "declined";
    /// <summary>Decision: taken back by the proposer.</summary>
    public const string Withdrawn = "withdrawn";

    /// <summary>All states of a proposal.</summary>
    public static IReadOnlyList<string> States { get; } = [Proposed, Approved, Declined, Withdrawn];
}

/// <summary>A proposal to change the rules; it never changes itself.</summary>
public sealed record RuleProposalRow
{
    /// <summary>Id.</summary>
    public long Id { get; init; }
    /// <summary><see cref="RuleWords.Profile"/> or <see cref="RuleWords.ByHand"/>.</summary>
    public required string Source { get; init; }
    /// <summary>The one rule that it changes; null = the whole set.</summary>
    public string? Rule { get; init; }
    /// <summary>The whole set as it would be, rules.json.</summary>
    public required string Rules { get; init; }
    /// <summary>Version that was in force when it was proposed; null for a mission's first rules.</summary>
    public long? Against { get; init; }
    /// <summary>Who proposed it.</summary>
    public required string ProposedBy { get; init; }
    /// <summary>In which role.</summary>
    public required string ProposedRole { get; init; }
    /// <summary>Remote address; null for the program itself.</summary>
    public string? ProposedFrom { get; init; }
    /// <summary>When, wall clock.</summary>
    public required Instant Proposed { get; init; }
    /// <summary>Why.</summary>
    public required string Reason { get; init; }
    /// <summary>Version of the program.</summary>
    public required string SoftwareVersion { get; init; }
    /// <summary>One of <see cref="RuleWords.States"/>. Read only.</summary>
    public string State { get; init; } = RuleWords.Proposed;
    /// <summary>Number of the newest rehearsal that is kept with it; null = none. Read only.</summary>
    public long? Evidence { get; init; }
}

/// <summary>A decision about a proposal.</summary>
public sealed record RuleDecisionRow
{
    /// <summary>Id.</summary>
    public long Id { get; init; }
    /// <summary>The proposal.</summary>
    public required long Proposal { get; init; }
    /// <summary>approved, declined or withdrawn.</summary>
    public required string Decision { get; init; }
    /// <summary>First orbit of an approval; null: from the beginning (a mission's first rules), or no approval.</summary>
    public int? FromOrbit { get; init; }
    /// <summary>Version that was in force until then.</summary>
    public long? InPlaceOf { get; init; }
    /// <summary>Rehearsal that was there to be seen; null = none.</summary>
    public long? Evidence { get; init; }
    /// <summary>Who decided.</summary>
    public required string Actor { get; init; }
    /// <summary>In which role.</summary>
    public required string Role { get; init; }
    /// <summary>Remote address; null for the program itself.</summary>
    public string? Address { get; init; }
    /// <summary>When, wall clock.</summary>
    public required Instant Time { get; init; }
    /// <summary>Why.</summary>
    public required string Note { get; init; }
    /// <summary>Version of the program.</summary>
    public required string SoftwareVersion { get; init; }
}

/// <summary>A version of the rules.</summary>
public sealed record RuleVersionRow
{
    /// <summary>Number of the version, from 1.</summary>
    public long Id { get; init; }
    /// <summary>The approval that put it in force.</summary>
    public required long Decision { get; init; }
    /// <summary>The whole set, rules.json.</summary>
    public required string Rules { get; init; }
    /// <summary>First orbit that it judges; null = from the beginning.</summary>
    public int? FromOrbit { get; init; }
    /// <summary>Who approved it. Read only.</summary>
    public string Actor { get; init; } = "";
    /// <summary>When, wall clock. Read only.</summary>
    public Instant Time { get; init; }
    /// <summary>Why. Read only.</summary>
    public string Note { get; init; } = "";
    /// <summary>The proposal that it was. Read only.</summary>
    public long Proposal { get; init; }
}

/// <summary>A rehearsal kept with a proposal.</summary>
/// <param name="Id">Number.</param>
/// <param name="Proposal">The proposal.</param>
/// <param name="Document">The rehearsal, JSON.</param>
/// <param name="Computed">When, wall clock.</param>
/// <param name="SoftwareVersion">Version of the program.</param>
public sealed record RuleEvidenceRow(long Id, long Proposal, string Document, Instant Computed, string SoftwareVersion);

/// <summary>An event that people know of.</summary>
public sealed record KnownEventRow
{
    /// <summary>Id.</summary>
    public long Id { get; init; }
    /// <summary>Id of the rule that should find it.</summary>
    public required string Rule { get; init; }
    /// <summary>Start, inclusive.</summary>
    public required Instant From { get; init; }
    /// <summary>End, exclusive.</summary>
    public required Instant To { get; init; }
    /// <summary>What happened, in a few words.</summary>
    public required string What { get; init; }
    /// <summary>How it is known; may be empty.</summary>
    public string Note { get; init; } = "";
    /// <summary>Who noted it.</summary>
    public required string Actor { get; init; }
    /// <summary>In which role.</summary>
    public required string Role { get; init; }
    /// <summary>When it was noted, wall clock.</summary>
    public required Instant Time { get; init; }
}
