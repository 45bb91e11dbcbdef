namespace Phasekeeper.Web.Shared.Plots;

/// <summary>
/// Reduces a long series to what a plot can show: per pixel column the mean with the least and largest value behind it, so
/// that no peak is lost. A column without a finite value becomes a gap.
/// </summary>
public static class MinMaxDecimator
{
    /// <summary>
    /// Puts a trace's points into <paramref name="columns"/> columns of equal width between its first and last x. Returns the trace
    /// itself where it has no more points than columns. X must ascend. A column's sigma, notes and orbit are those of its first point:
    /// sigma is left out, because the spread within a column says more.
    /// </summary>
    public static PlotTrace Reduce(PlotTrace trace, int columns)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(columns, 1);
        var n = trace.X.Count;
        if (n <= columns || trace.Kind == PlotTraceKind.Heat) return trace;
        var start = trace.X[0];
        var width = (trace.X[n - 1] - start) / columns;
        var x = new List<double>(columns);
        var mean = new List<double>(columns);
        var low = new List<double>(columns);
        var high = new List<double>(columns);
        var orbit = trace.Orbit is null ? null : new List<int>(columns);
        for (var i = 0; i < n;)
        {
            var column = ColumnOf(trace.X[i], start, width, columns);
            var first = i;
            double sum = 0, least = double.PositiveInfinity, largest = double.NegativeInfinity;
            var count = 0;
            for (; i < n && ColumnOf(trace.X[i], start, width, columns) == column; i++)
            {
                if (!double.IsFinite(trace.Y[i])) continue;
                sum += trace.Y[i];
                count++;
                least = Math.Min(least, trace.Low?[i] ?? trace.Y[i]);
                largest = Math.Max(largest, trace.High?[i] ?? trace.Y[i]);
            }
            x.Add((trace.X[first] + trace.X[i - 1]) / 2);
            mean.Add(count > 0 ? sum / count : double.NaN);
            low.Add(count > 0 ? least : double.NaN);
            high.Add(count > 0 ? largest : double.NaN);
            orbit?.Add(trace.Orbit![first]);
        }
        return trace with { X = x, Y = mean, Low = low, High = high, Orbit = orbit, Sigma = null, Note = null, C = null };
    }

    private static int ColumnOf(double x, double start, double width, int columns) =>
        width > 0 ? Math.Min(columns - 1, (int)((x - start) / width)) : 0;
}
