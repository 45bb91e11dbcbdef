using System.Globalization;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Orbit;

/// <summary>One row of an exposure with the fitted model, and the residuals in units of a sample's own noise.</summary>
internal static class FringeRowPlot
{
    /// <summary>Makes the plot; null = the row's packet is missing.</summary>
    public static PlotDocument Document(FittedRow? fitted, FringeResult result, int row)
    {
        var traces = fitted is null ? [] : Traces(fitted);
        return new PlotDocument
        {
            Title = $"Row {row} with its fit, {result.Kind.ToString().ToLowerInvariant()} exposure {result.Exposure}, view {result.View}, {result.Line}",
            Summary = fitted is null ? "" : Summary(fitted, result, row),
            X = new PlotAxis("x", "Sample", null) { Min = -1, Max = fitted?.Counts.Length ?? 1 },
            Y = Axes(fitted),
            Traces = traces,
            Lines = fitted is null || traces.Count < 2 ? [] : [new PlotLine("residual", 5, PlotLineKind.Warning, "5 σ"), new PlotLine("residual", -5, PlotLineKind.Warning)],
            EmptyText = $"The packet of row {row} did not arrive.",
        };
    }

    // The axes follow the samples in use: one hit by a particle would press all others flat.
    private static PlotAxis[] Axes(FittedRow? fitted)
    {
        PlotAxis counts = new("y0", "Counts", null) { Share = 2 }, residual = new("residual", "Residual", "σ");
        if (fitted is null) return [counts];
        if (!fitted.Used.Any(u => u) || !fitted.ModelCounts.Any(double.IsFinite)) return [counts];
        double[] used = [.. fitted.Counts.Where((_, i) => fitted.Used[i]), .. fitted.ModelCounts];
        var margin = 0.06 * Math.Max(used.Max() - used.Min(), 1);
        var most = fitted.Residuals().Where((_, i) => fitted.Used[i]).Select(Math.Abs).Append(6).Max();
        return [counts with { Min = used.Min() - margin, Max = used.Max() + margin }, residual with { Min = -most - 0.5, Max = most + 0.5 }];
    }

    private static List<PlotTrace> Traces(FittedRow fitted)
    {
        int[] all = [.. Enumerable.Range(0, fitted.Counts.Length)];
        int[] used = [.. all.Where(i => fitted.Used[i])], masked = [.. all.Where(i => !fitted.Used[i])];
        var residuals = fitted.Residuals();
        var hasModel = fitted.ModelCounts.Any(double.IsFinite);
        PlotTrace Points(string name, string axis, int[] at, double[] values, PlotRole role) => new()
        {
            Name = name,
            Kind = PlotTraceKind.Points,
            Axis = axis,
            Role = role,
            X = [.. at.Select(i => (double)i)],
            Y = [.. at.Select(i => values[i])],
        };
        var traces = new List<PlotTrace>();
        if (!hasModel) return [Points("counts", "y0", all, fitted.Counts, PlotRole.Measured)];
        traces.Add(Points("counts", "y0", used, fitted.Counts, PlotRole.Measured));
        traces.Add(new PlotTrace { Name = "fitted model", Kind = PlotTraceKind.Line, Axis = "y0", Role = PlotRole.Series, Colour = 2, X = [.. all.Select(i => (double)i)], Y = fitted.ModelCounts });
        if (masked.Length > 0) traces.Add(Points("left out by the fit", "y0", masked, fitted.Counts, PlotRole.Critical));
        traces.Add(Points("residual", "residual", used, residuals, PlotRole.Measured) with { InLegend = false });
        if (masked.Length > 0) traces.Add(Points("residual, left out", "residual", masked, residuals, PlotRole.Critical) with { InLegend = false });
        return traces;
    }

    private static string Summary(FittedRow fitted, FringeResult r, int row)
    {
        var masked = fitted.Used.Count(u => !u);
        if (r.Status[row] != RowStatus.Ok) return $"Row {row}: {Words(r.Status[row])}";
        string N(double value, string format) => double.IsFinite(value) ? value.ToString(format, CultureInfo.InvariantCulture).Replace('-', '−') : "–";
        return $"Row {row}: " + (double.IsFinite(r.PhaseRad[row]) ? $"phase {N(r.PhaseRad[row], "0.0000")} ± {N(r.PhaseSigmaRad[row], "0.0000")} rad, visibility {N(r.Visibility[row], "0.000")}, " : "")
            + $"signal {N(r.SignalElectrons[row], "0")} e⁻ a sample, χ² {N(r.ChiSquare[row], "0.00")} per degree of freedom, {masked} samples left out{OffScale(fitted)}.";
    }

    private static string OffScale(FittedRow fitted)
    {
        var axis = Axes(fitted)[0];
        int[] off = [.. Enumerable.Range(0, fitted.Counts.Length).Where(i => !fitted.Used[i] && (fitted.Counts[i] > axis.Max || fitted.Counts[i] < axis.Min))];
        return off.Length == 0 ? "" : " (off the scale: " + string.Join(", ", off.Take(5).Select(i => string.Create(CultureInfo.InvariantCulture, $"sample {i} with {fitted.Counts[i]:0} counts"))) + (off.Length > 5 ? " …" : "") + ")";
    }

    /// <summary>Why a row has no result, in words.</summary>
    internal static string Words(RowStatus status) => status switch
    {
        RowStatus.Ok => "retrieved.",
        RowStatus.Missing => "its packet did not arrive.",
        RowStatus.TooFewSamples => "too few samples were left to fit (saturated, bad or spikes).",
        RowStatus.NoFringe => "no fringe could be told from noise.",
        RowStatus.NotConverged => "the fit did not settle.",
        RowStatus.NoMotion => "the satellite's motion is not known (no orbit file covers it), so that there is no phase to refer to it.",
        _ => throw new ArgumentOutOfRangeException(nameof(status), status, "A row status without words; add them here."),
    };
}
