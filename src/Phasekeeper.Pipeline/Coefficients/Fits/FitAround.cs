using System.Globalization;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Coefficients.Drift;
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

    /// <summary>What surrounds a window.</summary>
    /// <param name="window">The window.</param>
    /// <param name="parts">What is fitted.</param>
    public FitSurroundings Of(FitWindow window, IReadOnlySet<FitPart> parts)
    {
        var (first, last) = (window.All.First(), window.All.Last());
        return new()
        {
            ZeroWind = parts.Contains(FitPart.ZeroWind) ? ZeroWind(last.End, window) : [],
            Activities = [.. mission.Activities.Where(a => a.From < last.End && a.To > first.Start)],
            Events = [.. ChangePoints(first, last), .. stores.Flags.OfOrbits(first.Number, last.Number).Select(FlagJson.Read)
                .Where(f => f.Stands && !NoEvents.Contains(f.RuleKind) && f.From < last.End && f.To >= first.Start)
                .OrderBy(f => f.From).ThenBy(f => f.Id, StringComparer.Ordinal).Select(f => new FitEvent(f.From, f.To, f.Message.TrimEnd('.'), f.Thing.View, f.Thing.Line))],
            SetChanges = [.. DecidedTimeline.Of(stores.Coefficients.Decisions(), mission.Orbits).Select(s => s.From).Where(f => f > Instant.MinValue && f < last.End)],
            Ageing = Ageing(first.Start, last),
        };
    }

    /// <summary>In which direction numbers have aged, by what was seen before a moment. <paramref name="last"/>: no later orbit is looked at.</summary>
    public IReadOnlyList<AgeingTrend> Ageing(Instant before, OrbitSlot last) => [.. AgeingTracker.All.SelectMany(a => Trends(a, before, last))];

    // An offset is one from the zero-wind phases with which its winds were made. Where these are not those that the fit begins from, as while a decision waits to be worked off, it would be taken out twice.
    // It is solved without the winds of orbits that are held out: what they say then is not what was fitted to them.
    private IReadOnlyList<Core.ZeroWind.ZeroWindEstimate> ZeroWind(Instant end, FitWindow window)
    {
        if (ClaimedZeroWind.NewestDay(end, window.From.Set, mission, stores) is not { } day) return [];
        var held = window.HeldOut.Concat(window.HeldOutLater).Select(o => o.Number).ToHashSet();
        return held.Count == 0 ? day.Estimates : ZeroWindStage.Solve(day.Day, day.Made, mission.Instrument!, stores, held);
    }

    // From before the window: the fit is to be judged by what was seen until then.
    private IEnumerable<AgeingTrend> Trends(AgeingTracker ageing, Instant start, OrbitSlot last)
    {
        var from = mission.Orbits.At(start.AddSeconds(-TrendDays * 86400.0))?.Number ?? stores.Orbits.First ?? last.Number;
        foreach (var (key, values) in Series(ageing, from, last.Number, start))
        {
            if (values.Length < LeastPoints || DriftSummary.Of(values) is not { } trend) continue;
            var optics = key is { View: { } view, Line: { } line } ? mission.Coefficients.At(values[^1].Time)?.Set.OpticsOf(view, line) : null;
            var scale = optics is null ? 1 : ageing.Scale(optics);
            double[] ends = [trend.TrendLow * scale, trend.TrendHigh * scale];
            if (ends.All(double.IsFinite)) yield return new(ageing.Number, key.View, key.Line, ends.Min(), ends.Max());
        }
    }

    // Steps of the trackers behind the numbers, within the window, that matter to the instrument or the winds.
    private IEnumerable<FitEvent> ChangePoints(OrbitSlot first, OrbitSlot last) => AgeingTracker.All.SelectMany(a => Series(a, first.Number, last.Number, Instant.MaxValue))
        .Select(s => (s.Key, Change: DriftSummary.Of(s.Values)?.Change)).Where(s => s.Change is { } c && c.P <= ChangeProbability && Math.Abs(c.Step) >= TrackerCatalog.Find(s.Key.Tracker)!.LeastSpread)
        .Select(s => new FitEvent(s.Change!.Value.Time, s.Change.Value.Time, string.Create(CultureInfo.InvariantCulture,
            $"{TrackerCatalog.Find(s.Key.Tracker)!.Info.Title} stepped by {s.Change.Value.Step:G3} {TrackerCatalog.Find(s.Key.Tracker)!.Info.Unit} between orbits {s.Change.Value.EarliestOrbit} and {s.Change.Value.LatestOrbit}"), s.Key.View, s.Key.Line));

    // Joined first, then unwrapped: a new reference moves a phase by other than whole turns.
    private IEnumerable<(SeriesKey Key, TrackerValue[] Values)> Series(AgeingTracker ageing, int first, int last, Instant before) =>
        stores.Trackers.OfTrackers([ageing.Tracker], first, last).Where(r => double.IsFinite(r.Value) && !r.Provisional && r.Time < before).GroupBy(r => r.Key)
            .Select(g => (g.Key, SeriesStatistics.Unwrap(ageing.Joined([.. g.OrderBy(r => r.Orbit).Select(r => r.ToValue())], g.Key, mission.Coefficients), TrackerCatalog.Find(g.Key.Tracker)!.Period)));
}
