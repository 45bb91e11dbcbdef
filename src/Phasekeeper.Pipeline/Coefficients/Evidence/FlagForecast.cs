using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Inputs;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>
/// Flags that the rules on trackers would raise on the orbits looked at with either set. Charts of both begin anew at the first of these orbits, as they do where a set comes into force; so what differs, differs
/// because of the set. Rules about telemetry, completeness and single exposures are not run: a set hardly moves what they look at.
/// </summary>
internal static class FlagForecast
{
    /// <summary>Flags with the proposed set alone, and with the set in force alone.</summary>
    /// <param name="before">Values with the set in force, any order.</param>
    /// <param name="after">Values of the same orbits with the proposed set.</param>
    /// <param name="orbits">The orbits, ascending.</param>
    /// <param name="from">Mission with the set in force alone.</param>
    /// <param name="to">Mission with the proposed set alone.</param>
    public static (IReadOnlyList<FlagOutlook> Appearing, IReadOnlyList<FlagOutlook> Vanishing) Of(
        IReadOnlyList<TrackerValue> before, IReadOnlyList<TrackerValue> after, IReadOnlyList<OrbitSlot> orbits, MissionState from, MissionState to)
    {
        if (orbits.Count == 0) return ([], []);
        var (with, without) = (Conditions(after, orbits, to), Conditions(before, orbits, from));
        return ([.. Alone(with, without).Select(Outlook)], [.. Alone(without, with).Select(Outlook)]);
    }

    private static IReadOnlyList<Condition> Conditions(IReadOnlyList<TrackerValue> values, IReadOnlyList<OrbitSlot> orbits, MissionState mission)
    {
        var inputs = new RuleInputs
        {
            FirstOrbit = orbits[0].Number,
            LastOrbit = orbits[^1].Number,
            Orbits = new OrbitMap(orbits.Select(o => new OrbitSpan(o.Number, o.Start, o.End))),
            Coefficients = [.. orbits.Select(o => (Orbit: o, Set: mission.Coefficients.At(o.Start)!.Set)).Select(o => new CoefficientUse(o.Orbit.Number, o.Set.Name, Math.Max(0, (o.Orbit.Start - o.Set.ValidFrom) / 86400)))],
            Series = [.. values.Where(v => double.IsFinite(v.Value)).GroupBy(v => v.Key).OrderBy(g => g.Key.ToString(), StringComparer.Ordinal).Select(g => Series(g.Key, [.. g.OrderBy(v => v.Orbit)], mission)).OfType<SeriesHistory>()],
        };
        return [.. mission.Rules.Enabled.Where(r => RuleCatalog.Of(r.Kind).Needs == RuleNeeds.Series).SelectMany(r => RuleReplay.Run(r, inputs))];
    }

    private static SeriesHistory? Series(SeriesKey key, TrackerValue[] values, MissionState mission)
    {
        if (TrackerCatalog.Find(key.Tracker) is not { } tracker) return null;
        return new(key, tracker.Info.Unit, [.. SeriesRun.All(tracker, values, mission.Coefficients).Select(p => (p.Value, Statistic: ChartKeeper.Statistic(p))).Select(p => RuleInputSource.Point(new TrackerRow
        {
            Key = key,
            Orbit = p.Value.Orbit,
            Time = p.Value.Time,
            Value = p.Value.Value,
            Sigma = p.Value.Sigma,
            N = p.Value.N,
            Provisional = p.Value.Provisional,
            Expected = p.Statistic.Expected,
            Ewma = p.Statistic.Ewma,
            EwmaSigma = p.Statistic.EwmaSigma,
            Charted = p.Statistic.Charted,
            CusumHigh = p.Statistic.CusumHigh,
            CusumLow = p.Statistic.CusumLow,
            State = p.Statistic.State,
        }))]);
    }

    private static IEnumerable<Condition> Alone(IReadOnlyList<Condition> these, IReadOnlyList<Condition> those) =>
        these.Where(c => !those.Any(o => o.Thing == c.Thing && o.FirstOrbit <= c.LastOrbit && c.FirstOrbit <= o.LastOrbit)).OrderBy(c => c.Thing).ThenBy(c => c.FirstOrbit);

    private static FlagOutlook Outlook(Condition c) =>
        new(c.Thing.Rule, c.Severity.ToString().ToLowerInvariant(), c.Thing.Subject, c.Thing.View, c.Thing.Line, c.FirstOrbit, c.LastOrbit, c.Message());
}
