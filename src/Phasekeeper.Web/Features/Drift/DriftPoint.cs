using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Drift;

/// <summary>A value of a series with its stored statistics, tracker's unit; CUSUM in σ of the run. NaN where there is none.</summary>
public readonly record struct DriftPoint(
    int Orbit, Instant Time, double Value, double Sigma, double Expected, double Ewma, double EwmaLow, double EwmaHigh, double CusumHigh, double CusumLow, TrackerState State)
{
    /// <summary>As stored. A value that the charts have not seen yet stands as it was computed.</summary>
    public static DriftPoint Of(TrackerRow row)
    {
        ArgumentNullException.ThrowIfNull(row);
        var half = ChartDesign.Default.EwmaLimit * row.EwmaSigma;
        return new(row.Orbit, row.Time, double.IsNaN(row.Charted) ? row.Value : row.Charted, row.Sigma, row.Expected, row.Ewma, row.Expected - half, row.Expected + half, row.CusumHigh, row.CusumLow, StateOf(row.State));
    }

    /// <summary>The value as the statistics take it.</summary>
    public TrackerValue ToValue(SeriesKey key) => new(key, Orbit, Time, Value, Sigma, 0, State == TrackerState.Provisional);

    private static TrackerState StateOf(string word) => word switch
    {
        "normal" => TrackerState.Normal,
        "warning" => TrackerState.Warning,
        "critical" => TrackerState.Critical,
        _ => TrackerState.Provisional,
    };

    /// <summary>
    /// No more points than a plot can show: of more than two a column, the least, the largest and the worst of each group of neighbours, in order.
    /// </summary>
    /// <param name="points">Points in order.</param>
    /// <param name="columns">Width of the plot.</param>
    /// <param name="group">Points behind those that are shown together; 1 = all are there.</param>
    public static IReadOnlyList<DriftPoint> Thin(IReadOnlyList<DriftPoint> points, int columns, out int group)
    {
        ArgumentNullException.ThrowIfNull(points);
        group = points.Count <= 2 * columns ? 1 : (int)Math.Ceiling(points.Count / (columns / 2.0));
        if (group == 1) return points;
        var kept = new List<DriftPoint>(columns * 3 / 2);
        for (var first = 0; first < points.Count; first += group)
        {
            var end = Math.Min(points.Count, first + group);
            int least = first, largest = first, worst = first;
            for (var i = first + 1; i < end; i++)
            {
                if (points[i].Value < points[least].Value) least = i;
                if (points[i].Value > points[largest].Value) largest = i;
                if (Badness(points[i].State) > Badness(points[worst].State)) worst = i;
            }
            for (var i = first; i < end; i++)
                if (i == least || i == largest || i == worst) kept.Add(points[i]);
        }
        return kept;
    }

    // Provisional ones tell least.
    private static int Badness(TrackerState state) => state switch { TrackerState.Provisional => 0, TrackerState.Normal => 1, TrackerState.Warning => 2, _ => 3 };
}
