using System.Globalization;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Orbit;

/// <summary>The fringe image of one exposure, view and line: counts as they were sent, rows × samples.</summary>
internal static class FringeImagePlot
{
    /// <summary>Makes the plot; null = the archive holds no packet of it.</summary>
    public static PlotDocument Document(FringeFrame? frame, FringeResult result)
    {
        var counts = (frame?.Rows ?? []).OfType<ushort[]>().SelectMany(r => r).Order().ToArray();
        var samples = frame?.Rows.OfType<ushort[]>().Select(r => r.Length).DefaultIfEmpty(0).Max() ?? 0;
        var rows = result.Status.Length;
        var name = $"{result.Kind.ToString().ToLowerInvariant()} exposure {result.Exposure}, view {result.View}, {result.Line}";
        return new PlotDocument
        {
            Title = $"Fringe image, {name}",
            Summary = counts.Length == 0 ? "" : string.Create(CultureInfo.InvariantCulture,
                $"{UtcText.DateAndTime(result.Time)} UTC, {result.IntegrationS:0.###} s: {rows} rows of {samples} samples, {counts[0]} to {counts[^1]} counts, median {counts[counts.Length / 2]}. Click a row to see it with its fit."),
            X = new PlotAxis("x", "Sample", null) { Min = -0.5, Max = Math.Max(1, samples) - 0.5 },
            Y = [new PlotAxis("y0", "Detector row", null) { Min = -0.5, Max = rows - 0.5 }],
            Traces = counts.Length == 0 ? [] :
            [
                new PlotTrace
                {
                    Name = "counts",
                    Kind = PlotTraceKind.Heat,
                    Axis = "y0",
                    X = [.. Enumerable.Range(0, samples).Select(i => (double)i)],
                    Y = [.. Enumerable.Range(0, rows).Select(r => (double)r)],
                    Z = [.. frame!.Rows.Select(r => (IReadOnlyList<double>)(r is null ? [.. Enumerable.Repeat(double.NaN, samples)] : [.. r.Select(c => (double)c)]))],
                    // A few samples hit by particles would take all colours for themselves.
                    Scale = new PlotColourScale("Counts", null, false, counts[0], counts[(int)((counts.Length - 1) * 0.998)]),
                },
            ],
            EmptyText = $"The archive holds no packet of {name}.",
        };
    }
}
