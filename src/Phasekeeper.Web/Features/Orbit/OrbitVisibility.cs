using System.Globalization;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Orbit;

/// <summary>Fringe visibility of each detector row over the orbit, as a map of colours.</summary>
internal static class OrbitVisibility
{
    /// <summary>Makes the plot of one view and line; the first ones where none is named.</summary>
    public static PlotDocument Document(OrbitContents orbit, PlotWindow window, string? view, string? line, ExposureKind kind)
    {
        view = string.IsNullOrEmpty(view) ? orbit.Analysis.Views.FirstOrDefault() ?? "" : view;
        line = string.IsNullOrEmpty(line) ? orbit.Analysis.Lines.FirstOrDefault() ?? "" : line;
        var results = orbit.Analysis.Exposures(kind, view, line).Where(f => window.Contains(f.Time)).ToArray();
        var rows = orbit.Mission.Instrument?.Rows ?? 0;
        // Columns of NaN keep a gap from being painted over by its neighbours.
        var columns = WithGaps(results);
        var finite = results.SelectMany(r => r.Visibility).Where(double.IsFinite).Order().ToArray();
        var word = kind.ToString().ToLowerInvariant();
        return new PlotDocument
        {
            Title = $"Fringe visibility by row on orbit {orbit.Slot.Number}, {word}, view {view}, {line}",
            Summary = finite.Length == 0 ? ""
                : string.Create(CultureInfo.InvariantCulture, $"View {view}, {line}: median {finite[finite.Length / 2]:0.000} over {results.Length} {word} exposures. Row 0 looks lowest where depressions fall with the row."),
            X = PlotAxis.UtcTime(window.From, window.To),
            Y = [new PlotAxis("y0", "Detector row", null) { Min = rows > 0 ? -0.5 : null, Max = rows > 0 ? rows - 0.5 : null }],
            Traces = finite.Length == 0 ? [] :
            [
                new PlotTrace
                {
                    Name = "visibility",
                    Kind = PlotTraceKind.Heat,
                    Axis = "y0",
                    X = [.. columns.Select(c => PlotTime.Of(c.Time))],
                    Y = [.. Enumerable.Range(0, rows).Select(r => (double)r)],
                    Z = [.. Enumerable.Range(0, rows).Select(r => (IReadOnlyList<double>)[.. columns.Select(c => c.Result?.Visibility[r] ?? double.NaN)])],
                    // Weak rows scatter widely: the colours are kept for the other 98 %.
                    Scale = new PlotColourScale("Visibility", null, false, finite[finite.Length / 100], finite[^(1 + finite.Length / 100)]),
                },
            ],
            EmptyText = $"No {word} exposure of view {view}, {line} gave a visibility on this orbit.",
        };
    }

    private static List<(Instant Time, FringeResult? Result)> WithGaps(FringeResult[] results)
    {
        var columns = new List<(Instant, FringeResult?)>();
        if (results.Length == 0) return columns;
        double[] steps = [.. results.Zip(results.Skip(1), (a, b) => b.Time - a.Time).Order()];
        var step = steps.Length > 0 ? steps[steps.Length / 2] : 60;
        for (var i = 0; i < results.Length; i++)
        {
            if (i > 0 && results[i].Time - results[i - 1].Time > 2.5 * step)
            {
                columns.Add((results[i - 1].Time.AddSeconds(step), null));
                columns.Add((results[i].Time.AddSeconds(-step), null));
            }
            columns.Add((results[i].Time, results[i]));
        }
        return columns;
    }
}
