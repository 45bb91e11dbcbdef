using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Rehearsal;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Thresholds;

/// <summary>Replays a rule, and the one in force, over stored history with the evaluator and the inputs of the assessment. Reads only.</summary>
public static class Rehearser
{
    /// <summary>Rehearses a rule over orbits, both ends inclusive; a last orbit before the first: there are no data.</summary>
    /// <param name="stores">Stores.</param>
    /// <param name="mission">The mission.</param>
    /// <param name="rule">The rule.</param>
    /// <param name="firstOrbit">First orbit.</param>
    /// <param name="lastOrbit">Last orbit.</param>
    /// <param name="progress">Told the share that is done, 0 to 1.</param>
    /// <param name="cancel">Ends it.</param>
    /// <exception cref="RehearsalTooManyException">Too many flags.</exception>
    public static RehearsalReport Run(Stores stores, MissionState mission, RuleDeclaration rule, int firstOrbit, int lastOrbit, Action<double>? progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(stores);
        ArgumentNullException.ThrowIfNull(mission);
        ArgumentNullException.ThrowIfNull(rule);
        var inForce = mission.Rules.Find(rule.Id);
        var orbits = (double)lastOrbit - firstOrbit + 1;
        var would = Replay(stores, mission, rule, firstOrbit, lastOrbit, o => progress?.Invoke((o - firstOrbit + 1) / orbits / 2), cancel);
        var now = inForce is null ? [] : Replay(stores, mission, inForce, firstOrbit, lastOrbit, o => progress?.Invoke(0.5 + (o - firstOrbit + 1) / orbits / 2), cancel);
        Flag[] did = [.. stores.Flags.OfRule(rule.Id, firstOrbit, lastOrbit).Select(FlagJson.Read).Where(f => f.Stands).OrderBy(f => f.FirstOrbit).ThenBy(f => f.Id, StringComparer.Ordinal)];
        var events = KnownEvents.Of(stores, rule.Id, firstOrbit, lastOrbit);
        var (w, n, d) = (RehearsalComparison.Of(would, events), RehearsalComparison.Of(now, events), RehearsalComparison.Of(did, events));
        var (start, end) = (stores.Orbits.Get(firstOrbit), stores.Orbits.Get(lastOrbit));
        var days = start is null || end is null ? 0 : (end.End - start.Start) / 86400;
        var (expected, expectedNow) = (Expected(mission, rule), inForce is null ? null : Expected(mission, inForce));
        return new()
        {
            Rule = rule.Id,
            Proposed = rule.VersionText,
            InForce = inForce?.VersionText,
            Differences = RuleDifference.Of(inForce, rule),
            FirstOrbit = firstOrbit,
            LastOrbit = lastOrbit,
            From = start?.Start.ToString() ?? "",
            To = end?.End.ToString() ?? "",
            WouldCounts = ReportedCounts.Of(w, days, rule.Enabled ? expected.PerMonth : 0),
            InForceCounts = ReportedCounts.Of(n, days, expectedNow?.PerMonth),
            DidCounts = ReportedCounts.Of(d, days, null),
            ExpectedHow = expected.How,
            Would = RehearsalReport.Flags(w),
            Did = RehearsalReport.Flags(d),
            Events = RehearsalReport.EventsOf(w, n, d),
        };
    }

    /// <summary>Flags that a rule would have raised over the orbits.</summary>
    public static IReadOnlyList<Flag> Replay(Stores stores, MissionState mission, RuleDeclaration rule, int firstOrbit, int lastOrbit, Action<int>? progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(mission);
        // Caches of its own: the assessment's are no other thread's business.
        var source = new RuleInputSource(stores, mission, new ChannelStatistics(stores, mission.Plan), new FactsCache());
        return RehearsalRun.Flags(rule, firstOrbit, lastOrbit, source, mission.Activities, progress, cancel);
    }

    /// <summary>Expected false flags of a rule, with this mission's views, lines and channels.</summary>
    public static FalseAlarmEstimate Expected(MissionState mission, RuleDeclaration rule)
    {
        ArgumentNullException.ThrowIfNull(mission);
        ArgumentNullException.ThrowIfNull(rule);
        var instrument = mission.Instrument;
        return RuleCatalog.Of(rule.Kind).ExpectedFalseFlags(rule, DesignContext.Of(TrackerCatalog.All.Select(t => t.Info), instrument?.Views.Count ?? 1, instrument?.Lines.Count ?? 1, mission.Plan.Channels.Count(c => !c.IsTimeField)));
    }
}
