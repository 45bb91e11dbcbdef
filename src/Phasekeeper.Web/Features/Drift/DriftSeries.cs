using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Drift;

/// <summary>A limit that a trend may reach.</summary>
/// <param name="Words">What it is.</param>
/// <param name="Value">Where, tracker's unit.</param>
/// <param name="Crossing">When the trend reaches it; null when it moves away.</param>
public sealed record DriftLimit(string Words, double Value, LimitCrossing? Crossing);

/// <summary>One tracker series over a range with everything that the page says of it.</summary>
/// <param name="Key">Which series.</param>
/// <param name="Info">Its tracker.</param>
/// <param name="Unit">Unit on screen; null for none.</param>
/// <param name="Points">Values within the range with their stored statistics; charts run from the start of their reference, not of the range.</param>
/// <param name="Design">Limits of the charts.</param>
/// <param name="Summary">Trend and change point of the values since the last change of coefficient set within the range; null for too few values.</param>
/// <param name="Limits">Limits ahead.</param>
public sealed record DriftSeries(
    SeriesKey Key, TrackerInfo Info, string? Unit, IReadOnlyList<DriftPoint> Points, ChartDesign Design, DriftSummary? Summary, IReadOnlyList<DriftLimit> Limits)
{
    /// <summary>The newest value; null when there is none.</summary>
    public DriftPoint? Last => Points.Count > 0 ? Points[^1] : null;

    /// <summary>True when the values are charted against limits.</summary>
    public bool IsCharted => Points.Any(p => double.IsFinite(p.Ewma));

    /// <summary>Reads a series and computes what follows from it; from ≤ time &lt; to.</summary>
    public static DriftSeries Read(Stores stores, MissionState mission, SeriesKey key, Instant from, Instant to)
    {
        var tracker = TrackerCatalog.Find(key.Tracker) ?? throw new ArgumentException($"There is no tracker '{key.Tracker}'.", nameof(key));
        var design = ChartDesign.Default;
        DriftPoint[] visible = [.. stores.Trackers.Charted(key, from, to).Select(DriftPoint.Of)];
        var lastChange = visible.Length == 0 ? Instant.MinValue : mission.Coefficients.At(visible[^1].Time)?.From ?? Instant.MinValue;
        var summary = DriftSummary.Of([.. visible.Where(p => p.Time >= lastChange).Select(p => p.ToValue(key))]);
        return new(key, tracker.Info, SeriesText.Unit(key, mission.Plan), visible, design, summary, [.. LimitsOf(mission, key, visible, summary)]);
    }

    private static IEnumerable<DriftLimit> LimitsOf(MissionState mission, SeriesKey key, DriftPoint[] points, DriftSummary? summary)
    {
        var newest = Array.FindLastIndex(points, p => double.IsFinite(p.EwmaHigh));
        if (summary is null || newest < 0) yield break;
        var last = points[newest];
        DriftLimit At(string words, double value) => new(words, value, summary.Forecast(value));
        yield return At("upper EWMA limit", last.EwmaHigh);
        yield return At("lower EWMA limit", last.EwmaLow);
        foreach (var rule in mission.Rules.Rules.Where(r => r.Enabled && r.Kind == "tracker-limit" && r.Trackers.Contains(key.Tracker) && r.Watches(key.View, key.Line)))
            foreach (var (name, words) in new[] { ("warningLimit", "warning"), ("criticalLimit", "critical") })
                if (rule[name] is var size && double.IsFinite(size))
                    foreach (var sign in new[] { 1, -1 }) yield return At($"{words} limit of rule {rule.Id}", last.Expected + sign * size);
    }
}
