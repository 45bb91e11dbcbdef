using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Drift;

/// <summary>A value of a series with its stored statistics, tracker's unit; CUSUM in σ of the run. NaN where there is none.</summary>
public readonly record struct DriftPoint(
    int Orbit, Instant Time, double Value, double Sigma, double Expected, double Ewma, double EwmaLow, double EwmaHigh, double CusumHigh, double CusumLow, TrackerState State)
{
    /// <summary>As stored. A value that the charts have not seen yet stands as it was computed.</summary>
    public static DriftPoint Of(PlottedValue row)
    {
        var half = ChartDesign.Default.EwmaLimit * row.EwmaSigma;
        return new(row.Orbit, row.Time, double.IsNaN(row.Charted) ? row.Value : row.Charted, row.Sigma, row.Expected, row.Ewma, row.Expected - half, row.Expected + half, row.CusumHigh, row.CusumLow, row.State);
    }

    /// <summary>The value as the statistics take it.</summary>
    public TrackerValue ToValue(SeriesKey key) => new(key, Orbit, Time, Value, Sigma, 0, State == TrackerState.Provisional);

    /// <summary>No more points than a plot can show, see <see cref="PlotThinning"/>.</summary>
    public static IReadOnlyList<DriftPoint> Thin(IReadOnlyList<DriftPoint> points, int columns, out int group) => PlotThinning.Extremes(points, columns, p => p.Value, p => p.State, out group);
}
