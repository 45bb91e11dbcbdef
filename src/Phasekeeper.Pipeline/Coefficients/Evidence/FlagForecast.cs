using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Inputs;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>What rules are run on: trackers' values of measurements and what fringes alone tell, of the orbits looked at, with one set.</summary>
/// <param name="Values">Values, any order.</param>
/// <param name="Facts">Steps of the image shift and spikes, orbit by orbit.</param>
/// <param name="Mission">Mission with the set alone.</param>
internal sealed record FlagGround(IReadOnlyList<TrackerValue> Values, IReadOnlyList<OrbitFacts> Facts, MissionState Mission);

/// <summary>Flags that differ, and how the charts behind them began.</summary>
/// <param name="Appearing">Flags with the proposed set alone.</param>
/// <param name="Vanishing">Flags with the set in force alone.</param>
/// <param name="Continued">Series whose charts went on from the orbits before.</param>
/// <param name="BegunAnew">Series whose charts began at the first orbit looked at, with both sets.</param>
internal sealed record FlagDifferences(IReadOnlyList<FlagOutlook> Appearing, IReadOnlyList<FlagOutlook> Vanishing, int Continued, int BegunAnew);

/// <summary>
/// Flags that the rules would raise on the orbits looked at with either set: those on trackers of measurements, on steps of the image shift, on spikes and on the set's age. A chart goes on from the stored values of the orbits
/// before where these can be told for the proposed set too: where it moves the series by the same on every orbit looked at. Elsewhere the charts of both sets begin anew, so that what differs differs because of the set. Rules
/// about telemetry, completeness and lamps that are missing are not run: a set does not move what they look at; nor are rules on the trackers of winds, for winds are made on a few orbits only.
/// </summary>
internal sealed class FlagForecast(Stores stores, MissionState mission, long against)
{
    /// <summary>Orbits before the first one looked at whose values a chart goes on from (chosen: twice a chart's baseline).</summary>
    public const int HistoryOrbits = 60;

    /// <summary>Fewest common orbits that tell by how much a set moves a series (chosen).</summary>
    public const int LeastCommon = 5;

    /// <summary>Share of a tracker's least spread by which that may differ from orbit to orbit (chosen: a tenth moves no chart's limit).</summary>
    public const double MovedAlike = 0.1;

    private static readonly RuleNeeds[] Run = [RuleNeeds.None, RuleNeeds.Series, RuleNeeds.Steps, RuleNeeds.Spikes];

    /// <summary>Flags with the proposed set alone, and with the set in force alone.</summary>
    /// <param name="before">With the set in force.</param>
    /// <param name="after">The same orbits with the proposed set.</param>
    /// <param name="orbits">The orbits, ascending.</param>
    public FlagDifferences Of(FlagGround before, FlagGround after, IReadOnlyList<OrbitSlot> orbits)
    {
        if (orbits.Count == 0) return new([], [], 0, 0);
        var first = orbits[0].Number;
        var history = History(first);
        List<TrackerValue> was = [], would = [];
        var (continued, anew) = (0, 0);
        var (beforeBy, afterBy) = (ByKey(before.Values), ByKey(after.Values));
        foreach (var key in beforeBy.Keys.Union(afterBy.Keys))
        {
            TrackerValue[] b = beforeBy.GetValueOrDefault(key, []), a = afterBy.GetValueOrDefault(key, []);
            if (history.TryGetValue(key, out var earlier) && Moved(key, b, a) is { } by)
            {
                was.AddRange(earlier);
                would.AddRange(earlier.Select(v => v with { Value = v.Value + by }));
                continued++;
            }
            else anew++;
            was.AddRange(b);
            would.AddRange(a);
        }
        OrbitSlot[] all = [.. was.Select(v => v.Orbit).Where(o => o < first).Distinct().Order().Select(o => mission.Orbits.Of(o)).OfType<OrbitSlot>(), .. orbits];
        var (without, with) = (Conditions(before with { Values = was }, all, first), Conditions(after with { Values = would }, all, first));
        return new([.. Alone(with, without).Select(Outlook)], [.. Alone(without, with).Select(Outlook)], continued, anew);
    }

    private static Dictionary<SeriesKey, TrackerValue[]> ByKey(IEnumerable<TrackerValue> values) =>
        values.Where(v => double.IsFinite(v.Value)).GroupBy(v => v.Key).ToDictionary(g => g.Key, g => g.OrderBy(v => v.Orbit).ToArray());

    // Stored values of the orbits before, as far as the set in force has made them.
    private Dictionary<SeriesKey, TrackerValue[]> History(int first) => ByKey(stores.Trackers.OfTrackers([.. TrackerCatalog.IdsOf(TrackerSource.Measurements)], first - HistoryOrbits, first - 1)
        .Where(r => !r.Provisional && mission.Coefficients.At(r.Time)?.SetId == against).Select(r => r.ToValue()));

    // By how much the proposed set moves a series; null where that is not the same on all orbits, or orbits are too few to tell.
    private static double? Moved(SeriesKey key, TrackerValue[] before, TrackerValue[] after)
    {
        if (TrackerCatalog.Find(key.Tracker) is not { } tracker) return null;
        var now = after.ToDictionary(v => v.Orbit, v => v.Value);
        double[] moved = [.. before.Where(v => now.ContainsKey(v.Orbit)).Select(v => now[v.Orbit] - v.Value)];
        if (tracker.Period > 0) moved = [.. moved.Select(m => Math.IEEERemainder(m, tracker.Period))];
        if (moved.Length < LeastCommon || moved.Length < before.Length || moved.Length < after.Length) return null;
        var by = RobustStatistics.Median(moved);
        return moved.All(m => Math.Abs(m - by) <= MovedAlike * tracker.LeastSpread) ? by : null;
    }

    private static IReadOnlyList<Condition> Conditions(FlagGround ground, IReadOnlyList<OrbitSlot> orbits, int first)
    {
        var (values, mission) = (ground.Values, ground.Mission);
        var inputs = new RuleInputs
        {
            FirstOrbit = orbits[0].Number,
            LastOrbit = orbits[^1].Number,
            Orbits = new OrbitMap(orbits.Select(o => new OrbitSpan(o.Number, o.Start, o.End))),
            Coefficients = [.. orbits.Select(o => (Orbit: o, Set: mission.Coefficients.At(o.Start)!.Set)).Select(o => new CoefficientUse(o.Orbit.Number, o.Set.Name, Math.Max(0, (o.Orbit.Start - o.Set.ValidFrom) / 86400)))],
            Series = [.. values.GroupBy(v => v.Key).OrderBy(g => g.Key.ToString(), StringComparer.Ordinal).Select(g => Series(g.Key, [.. g.OrderBy(v => v.Orbit)], mission)).OfType<SeriesHistory>()],
            Steps = [.. ground.Facts.SelectMany(f => f.Steps).Select(RuleInputSource.Step)],
            Spikes = [.. ground.Facts.SelectMany(f => f.Spikes).Select(RuleInputSource.Spike)],
        };
        // What was over before the first orbit looked at is no difference of these orbits.
        return [.. mission.Rules.Enabled.Where(r => Run.Contains(RuleCatalog.Of(r.Kind).Needs)).SelectMany(r => RuleReplay.Run(r, inputs)).Where(c => c.LastOrbit >= first)];
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
