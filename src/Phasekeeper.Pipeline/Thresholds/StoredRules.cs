using System.Data;
using System.Globalization;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Thresholds;

/// <summary>Versions of the rules as the store keeps them, and what follows from them.</summary>
public static class StoredRules
{
    /// <summary>The versions as a time line. The store keeps every version as it was read when it was approved.</summary>
    public static RuleTimeline Timeline(IEnumerable<RuleVersionRow> rows) => new(rows.Select(r => new RuleVersion(r.Id, r.FromOrbit ?? int.MinValue, Read(r))));

    /// <summary>The rules of a version.</summary>
    public static RuleSet Read(RuleVersionRow row)
    {
        ArgumentNullException.ThrowIfNull(row);
        return RuleSetReader.Read(row.Rules, string.Create(CultureInfo.InvariantCulture, $"version {row.Id} of the rules"));
    }

    /// <summary>The rules of a proposal.</summary>
    public static RuleSet Read(RuleProposalRow row)
    {
        ArgumentNullException.ThrowIfNull(row);
        return RuleSetReader.Read(row.Rules, string.Create(CultureInfo.InvariantCulture, $"proposal {row.Id} of rules"));
    }

    /// <summary>A mission's first rules: proposed and in force by the program itself, from the beginning.</summary>
    internal static void Begin(IDbTransaction transaction, string rules, string by, Instant now)
    {
        const string why = "First rules of the mission.";
        var proposal = RuleStore.Propose(transaction, new() { Source = RuleWords.Profile, Rules = rules, ProposedBy = by, ProposedRole = Roles.System, Proposed = now, Reason = why, SoftwareVersion = SoftwareVersion.Current });
        var decision = new RuleDecisionRow { Proposal = proposal, Decision = RuleWords.Approved, Actor = by, Role = Roles.System, Time = now, Note = why, SoftwareVersion = SoftwareVersion.Current };
        RuleStore.AddVersion(transaction, RuleStore.Decide(transaction, decision), decision, rules);
    }

    /// <summary>Stored orbits to assess when a version begins at an orbit: all from there on, and the one before, whose flags may reach into them.</summary>
    internal static IEnumerable<long> ToAssess(Stores stores, int first)
    {
        if (stores.Orbits.Last is not { } last) return [];
        var before = stores.Orbits.First is { } oldest && oldest < first ? stores.Orbits.Between(oldest, Math.Min(first - 1, last)).TakeLast(1) : [];
        return before.Concat(stores.Orbits.Between(first, last)).Select(o => (long)o);
    }
}
