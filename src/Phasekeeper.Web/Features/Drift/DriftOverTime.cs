using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Web.Shared.Numbers;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Drift;

/// <summary>Series over time: values, and for the first of them expectation, EWMA, CUSUM, trend and forecast.</summary>
internal static class DriftOverTime
{
    private const double MonthMs = 30 * 86_400_000.0;

    /// <summary>Makes the plot.</summary>
    public static PlotDocument Document(DriftQueries queries, MissionState mission, IReadOnlyList<DriftSeries> all, Instant from, Instant to, int columns)
    {
        var group = 1;
        DriftSeries[] series = [.. all.Select(s =>
        {
            var shown = s with { Points = DriftPoint.Thin(s.Points, columns, out var together) };
            group = Math.Max(group, together);
            return shown;
        })];
        var focus = series[0];
        var axes = DriftPlots.Axes(series).ToList();
        var traces = new List<PlotTrace>();
        var lines = new List<PlotLine>();
        if (series.Length == 1) AddStates(traces, focus);
        else
            for (var i = 0; i < series.Length; i++)
                if (series[i].Points.Count > 0) traces.Add(Values(DriftPlots.NameOf(series, series[i]), DriftPlots.AxisOf(series, series[i]), series[i].Points, PlotRole.Series, i + 1));
        if (focus.IsCharted) AddCharts(traces, lines, axes, focus, series.Length > 1 ? DriftPlots.NameOf(series, focus) + ": " : "");
        if (focus.Summary is { } summary && series.Length == 1) traces.Add(Trend(focus, summary));
        return new PlotDocument
        {
            Title = series.Length == 1 ? SeriesText.Words(focus.Key) : string.Join("; ", series.Select(s => SeriesText.Words(s.Key)).Take(3)) + (series.Length > 3 ? " …" : ""),
            Summary = Summary(all, group),
            X = PlotAxis.UtcTime(Start(series, from), End(series, to)),
            Y = axes,
            Traces = traces,
            Lines = lines,
            Markers = [.. SetChanges(mission, from, to), .. series.SelectMany(s => Flags(queries, s, from, to)), .. series.Length == 1 ? ChangePoint(focus) : []],
            EmptyText = "This series has no values in this range.",
        };
    }

    // The axis ends with the data, not with the day that is added to find values ahead of the newest packet.
    private static Instant? End(IReadOnlyList<DriftSeries> series, Instant to)
    {
        var last = series.Select(s => s.Last?.Time).OfType<Instant>().DefaultIfEmpty(to).Max();
        return last.AddSeconds(3600) < to ? last.AddSeconds(3600) : to;
    }

    // Nor does it begin long before them.
    private static Instant? Start(IReadOnlyList<DriftSeries> series, Instant from)
    {
        var first = series.Where(s => s.Points.Count > 0).Select(s => s.Points[0].Time).DefaultIfEmpty(from).Min().AddSeconds(-3600);
        return first > from ? first : from;
    }

    private static void AddStates(List<PlotTrace> traces, DriftSeries s)
    {
        foreach (var (state, role, name) in new[]
        {
            (TrackerState.Normal, PlotRole.Series, "value"), (TrackerState.Provisional, PlotRole.Provisional, "provisional"),
            (TrackerState.Warning, PlotRole.Warning, "warning"), (TrackerState.Critical, PlotRole.Critical, "critical"),
        })
            if (s.Points.Where(p => p.State == state).ToArray() is { Length: > 0 } points) traces.Add(Values(name, "y0", points, role, 1));
    }

    private static PlotTrace Values(string name, string axis, IReadOnlyList<DriftPoint> points, PlotRole role, int colour) => new()
    {
        Name = name,
        Kind = PlotTraceKind.Points,
        Axis = axis,
        Role = role,
        Colour = colour,
        X = [.. points.Select(p => PlotTime.Of(p.Time))],
        Y = [.. points.Select(p => p.Value)],
        Sigma = points.Any(p => double.IsFinite(p.Sigma)) ? [.. points.Select(p => p.Sigma)] : null,
        Orbit = [.. points.Select(p => p.Orbit)],
        Note = role == PlotRole.Series && points.Any(p => p.State != TrackerState.Normal) ? [.. points.Select(DriftPlots.NoteOf)] : null,
    };

    private static void AddCharts(List<PlotTrace> traces, List<PlotLine> lines, List<PlotAxis> axes, DriftSeries s, string prefix)
    {
        double[] x = [.. s.Points.Select(p => PlotTime.Of(p.Time))];
        PlotTrace Line(string name, Func<DriftPoint, double> value, PlotRole role, int colour, string axis) => new()
        {
            Name = prefix + name,
            Kind = PlotTraceKind.Line,
            Axis = axis,
            Role = role,
            Colour = colour,
            X = x,
            Y = [.. s.Points.Select(value)],
        };
        traces.Add(Line("expected, with EWMA limits", p => p.Expected, PlotRole.Model, 0, "y0") with { Low = [.. s.Points.Select(p => p.EwmaLow)], High = [.. s.Points.Select(p => p.EwmaHigh)] });
        traces.Add(Line("EWMA", p => p.Ewma, PlotRole.Series, 2, "y0"));
        axes.Add(new PlotAxis("cusum", "CUSUM ↑↓", "σ"));
        traces.Add(Line("CUSUM up", p => p.CusumHigh, PlotRole.Series, 5, "cusum") with { InLegend = false });
        traces.Add(Line("CUSUM down", p => -p.CusumLow, PlotRole.Series, 6, "cusum") with { InLegend = false });
        lines.Add(new PlotLine("cusum", s.Design.CusumH, PlotLineKind.Warning, "limit"));
        lines.Add(new PlotLine("cusum", -s.Design.CusumH, PlotLineKind.Warning));
    }

    private static PlotTrace Trend(DriftSeries s, DriftSummary summary)
    {
        var end = PlotTime.Of(summary.LastTime);
        var start = end - 2 * summary.MeanAgeMonths * MonthMs;
        return new PlotTrace
        {
            Name = "trend",
            Kind = PlotTraceKind.Line,
            Axis = "y0",
            Role = PlotRole.Context,
            X = [start, end],
            Y = [summary.Level + summary.TrendPerMonth * (start - end) / MonthMs, summary.Level],
        };
    }

    private static IEnumerable<PlotMarker> SetChanges(MissionState mission, Instant from, Instant to) =>
        mission.Coefficients.Entries.Where(e => e.From > from && e.From < to)
            .Select(e => new PlotMarker(PlotTime.Of(e.From), PlotMarkerKind.SetChange, $"Coefficient set “{e.Set.Name}” from {UtcText.DateAndMinute(e.From)} UTC"));

    private static IEnumerable<PlotMarker> Flags(DriftQueries queries, DriftSeries s, Instant from, Instant to) =>
        queries.Flags(s.Key, from, to).Select(f => new PlotMarker(PlotTime.Of(f.From), PlotMarkerKind.Flag, $"{f.Severity}: {f.Message}", $"/flags/{Uri.EscapeDataString(f.Id)}"));

    private static IEnumerable<PlotMarker> ChangePoint(DriftSeries s) => s.Summary?.Change is not { } change ? []
        : [new PlotMarker(PlotTime.Of(change.Time), PlotMarkerKind.ChangePoint, $"The mean changed by {FigureText.Of(change.Step)} {s.Unit} at orbit {change.FirstOrbitAfter} (95 %: {change.EarliestOrbit} to {change.LatestOrbit})")];

    private static string Summary(IReadOnlyList<DriftSeries> series, int group)
    {
        var count = series.Sum(s => s.Points.Count);
        if (count == 0) return "";
        var text = $"{count} values of {series.Count} {(series.Count == 1 ? "series" : "series together")}.";
        text += PlotThinning.Words(group);
        if (series.Count == 1 && series[0].Summary is { } trend) text += $" Trend {FigureText.Of(trend.TrendPerMonth)} {series[0].Unit} in 30 days, 95 % interval {FigureText.Of(trend.TrendLow)} to {FigureText.Of(trend.TrendHigh)}.";
        return text;
    }
}
