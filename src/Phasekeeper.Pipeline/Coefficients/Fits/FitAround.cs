using System.Globalization;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.ZeroWind;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Fits;

/// <summary>What surrounds a window of orbits: events, activities, changes of the set in force, the zero wind, and in which direction numbers have aged.</summary>
internal sealed class FitAround(Stores stores, MissionState mission)
{
    // Chosen: three months of values tell a direction; older ones tell of another instrument.
    private const int TrendDays = 90;
    // Chosen: less is no trend.
    private const int LeastPoints = 20;
    // Chosen: some thirty series are looked at, so that chance speaks in one fit of a hundred.
    private const double ChangeProbability = 3e-4;

    // Flags that speak of data, or of the very departures that a fit is made for, are no events of the instrument.
    private static readonly HashSet<string> NoEvents = new(StringComparer.Ordinal)
    {
        "drift", "stale-coefficients", "thermal-residual", "phase-residual", "dark-growth", "hot-sample-growth", "late-data", "incomplete-orbit", "undecodable-data", "data-conflict", "coverage-missing", "lamp-missing",
        // The fit looks for steps itself.
        "image-shift-step",
        // Spikes are masked, sample by sample.
        "spike-storm",
    };

    // Trackers whose values are numbers of the set, or relative to one.
    private static readonly (string Tracker, string Number, Func<CoefficientSet, string?, string?, double> Scale)[] Ageing =
    [
        ("thermal-slope", "optics.thermal.radPerK", (_, _, _) => 1),
        ("thermal-lag", "optics.thermal.lagS", (_, _, _) => 1),
        // The lamp's phase moves by the airglow's drift over ρ.
        ("lamp-offset", "optics.lampPhaseRad", (s, v, l) => 1 / (s.OpticsOf(v!, l!)?.LampRatio ?? double.NaN)),
        ("scene-visibility", "optics.visibility", (s, v, l) => s.OpticsOf(v!, l!)?.Visibility ?? double.NaN),
        ("lamp-visibility", "optics.lampVisibility", (s, v, l) => s.OpticsOf(v!, l!)?.LampVisibility ?? double.NaN),
        ("lamp-brightness", "optics.lampElectrons", (s, v, l) => s.OpticsOf(v!, l!)?.LampElectrons ?? double.NaN),
        ("dark-rate", "dark.rateElectronsPerS", (_, _, _) => 1),
        ("image-shift-slope", "imageShift.samplesPerK", (_, _, _) => 1),
    ];

    /// <summary>What surrounds a window.</summary>
    public FitSurroundings Of(FitWindow window)
    {
        var (first, last) = (window.All.First(), window.All.Last());
        return new()
        {
            ZeroWind = ZeroWind(last.End, window.From.Set),
            Activities = [.. mission.Activities.Where(a => a.From < last.End && a.To > first.Start)],
            Events = [.. ChangePoints(first, last), .. stores.Flags.OfOrbits(first.Number, last.Number).Select(FlagJson.Read)
                .Where(f => f.Stands && !NoEvents.Contains(f.RuleKind) && f.From < last.End && f.To >= first.Start)
                .OrderBy(f => f.From).ThenBy(f => f.Id, StringComparer.Ordinal).Select(f => new FitEvent(f.From, f.To, f.Message.TrimEnd('.'), f.Thing.View, f.Thing.Line))],
            SetChanges = [.. DecidedTimeline.Of(stores.Coefficients.Decisions(), mission.Orbits).Select(s => s.From).Where(f => f > Instant.MinValue && f < last.End)],
            Ageing = [.. Ageing.SelectMany(a => Trends(a.Tracker, a.Number, a.Scale, window.From.Set, first.Start, last))],
        };
    }

    // An offset is one from the zero-wind phases with which its winds were made. Where these are not those that the fit begins from, as while a decision waits to be worked off, it would be taken out twice.
    private Core.ZeroWind.ZeroWindEstimate[] ZeroWind(Instant end, CoefficientSet from)
    {
        var day = end.ToUnixDay().UnixDay;
        var all = stores.ZeroWinds.Read(day - 7, day);
        if (all.Count == 0 || stores.Work.Peek(WorkKinds.ZeroWind, 1).Count > 0) return [];
        var newest = all.Max(a => a.Day);
        if (ZeroWindStage.FirstOrbitOf(newest, mission, stores) is not { } number || mission.Orbits.Of(number) is not { } orbit || mission.Coefficients.At(orbit.Start) is not { } made
            || !WindSums.ZeroPhases(made.Set).AsSpan().SequenceEqual(WindSums.ZeroPhases(from))) return [];
        return [.. all.Where(z => z.Day == newest).Select(z => z.Estimate)];
    }

    // From before the window: the fit is to be judged by what was seen until then.
    private IEnumerable<AgeingTrend> Trends(string tracker, string number, Func<CoefficientSet, string?, string?, double> scale, CoefficientSet set, Instant start, OrbitSlot last)
    {
        var from = mission.Orbits.At(start.AddSeconds(-TrendDays * 86400.0))?.Number ?? stores.Orbits.First ?? last.Number;
        foreach (var (key, values) in Series(tracker, from, last.Number))
        {
            TrackerValue[] before = [.. values.Where(v => v.Time < start)];
            if (before.Length < LeastPoints || DriftSummary.Of(before) is not { } trend) continue;
            double[] ends = [trend.TrendLow * scale(set, key.View, key.Line), trend.TrendHigh * scale(set, key.View, key.Line)];
            if (ends.All(double.IsFinite)) yield return new(number, key.View, key.Line, ends.Min(), ends.Max());
        }
    }

    // Steps of the trackers behind the numbers, within the window, that matter to the instrument or the winds.
    private IEnumerable<FitEvent> ChangePoints(OrbitSlot first, OrbitSlot last) => Ageing.SelectMany(a => Series(a.Tracker, first.Number, last.Number))
        .Select(s => (s.Key, Change: DriftSummary.Of(s.Values)?.Change)).Where(s => s.Change is { } c && c.P <= ChangeProbability && Math.Abs(c.Step) >= TrackerCatalog.Find(s.Key.Tracker)!.LeastSpread)
        .Select(s => new FitEvent(s.Change!.Value.Time, s.Change.Value.Time, string.Create(CultureInfo.InvariantCulture,
            $"{TrackerCatalog.Find(s.Key.Tracker)!.Info.Title} stepped by {s.Change.Value.Step:G3} {TrackerCatalog.Find(s.Key.Tracker)!.Info.Unit} between orbits {s.Change.Value.EarliestOrbit} and {s.Change.Value.LatestOrbit}"), s.Key.View, s.Key.Line));

    private IEnumerable<(SeriesKey Key, TrackerValue[] Values)> Series(string tracker, int first, int last) =>
        stores.Trackers.OfTrackers([tracker], first, last).Where(r => double.IsFinite(r.Value) && !r.Provisional).GroupBy(r => r.Key)
            .Select(g => (g.Key, SeriesStatistics.Unwrap([.. g.OrderBy(r => r.Orbit).Select(r => r.ToValue())], TrackerCatalog.Find(g.Key.Tracker)!.Period)));
}
