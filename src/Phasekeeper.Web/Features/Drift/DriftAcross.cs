using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Web.Shared.Numbers;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Drift;

/// <summary>Series against another one, orbit by orbit: does it follow the Sun's angle or a temperature?</summary>
internal static class DriftAcross
{
    /// <summary>Makes the plot; <paramref name="across"/> gives the x axis.</summary>
    public static PlotDocument Document(IReadOnlyList<DriftSeries> series, DriftSeries across, int columns)
    {
        var x = across.Points.ToDictionary(p => p.Orbit, p => p.Value);
        var traces = new List<PlotTrace>();
        var (summary, group) = ("", 1);
        foreach (var (s, i) in series.Select((s, i) => (s, i)))
        {
            var pairs = s.Points.Where(p => x.ContainsKey(p.Orbit)).ToArray();
            if (pairs.Length == 0) continue;
            traces.Add(Points(series, s, DriftPoint.Thin(pairs, columns, out var together), x, i));
            group = Math.Max(group, together);
            if (series.Count == 1 && Slope(pairs, x) is { } fit)
            {
                traces.Add(Line(fit, pairs.Min(p => x[p.Orbit]), pairs.Max(p => x[p.Orbit])));
                var unit = $"{s.Unit ?? ""} per {across.Unit ?? "1"}".Trim();
                summary = $"{pairs.Length} orbits. Slope {FigureText.Of(fit.Slope)} {unit} (95 %: {FigureText.Of(fit.SlopeLow)} to {FigureText.Of(fit.SlopeHigh)}, neighbouring orbits taken as independent).";
            }
        }
        return new PlotDocument
        {
            Title = $"{SeriesText.Words(series[0].Key)}{(series.Count > 1 ? " and others" : "")} against {SeriesText.Words(across.Key)}",
            Summary = (summary.Length > 0 ? summary : $"{traces.Sum(t => t.X.Count)} points, one an orbit.") + PlotThinning.Words(group),
            X = new PlotAxis("x", SeriesText.Words(across.Key), across.Unit),
            Y = DriftPlots.Axes(series),
            Traces = traces,
            EmptyText = $"No orbit in this range has both a value and {SeriesText.Words(across.Key).ToLowerInvariant()}.",
        };
    }

    private static PlotTrace Points(IReadOnlyList<DriftSeries> series, DriftSeries s, IReadOnlyList<DriftPoint> pairs, Dictionary<int, double> x, int i) => new()
    {
        Name = series.Count == 1 ? "orbits" : DriftPlots.NameOf(series, s),
        Kind = PlotTraceKind.Points,
        Axis = DriftPlots.AxisOf(series, s),
        Colour = i % 8 + 1,
        X = [.. pairs.Select(p => x[p.Orbit])],
        Y = [.. pairs.Select(p => p.Value)],
        Orbit = [.. pairs.Select(p => p.Orbit)],
        Note = [.. pairs.Select(p => Shared.Times.UtcText.DateAndMinute(p.Time) + " UTC" + (p.State == TrackerState.Normal ? "" : ", " + DriftPlots.NoteOf(p)))],
        // One series: the colour tells old orbits from new ones, so that a loop or a step is seen.
        C = series.Count == 1 ? [.. pairs.Select(p => (double)p.Orbit)] : null,
        Scale = series.Count == 1 ? new PlotColourScale("Orbit", null) : null,
    };

    private static TheilSenResult? Slope(DriftPoint[] pairs, Dictionary<int, double> x)
    {
        // n² slopes: the newest orbits decide where there are too many.
        var used = pairs.Length > 1500 ? pairs[^1500..] : pairs;
        return used.Length < 5 ? null : TheilSen.TryFit([.. used.Select(p => x[p.Orbit])], [.. used.Select(p => p.Value)]);
    }

    private static PlotTrace Line(TheilSenResult fit, double from, double to) => new()
    {
        Name = "slope",
        Kind = PlotTraceKind.Line,
        Axis = "y0",
        Role = PlotRole.Model,
        X = [from, to],
        Y = [fit.Intercept + fit.Slope * from, fit.Intercept + fit.Slope * to],
    };
}
