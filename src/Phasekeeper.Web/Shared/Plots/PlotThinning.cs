using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Web.Shared.Plots;

/// <summary>No more points of a long series than a plot can show.</summary>
public static class PlotThinning
{
    /// <summary>Of more than two points a column: the least, the largest and the one with the worst state of each group of neighbours, in order.</summary>
    /// <param name="points">Points in order.</param>
    /// <param name="columns">Width of the plot.</param>
    /// <param name="value">Value of a point.</param>
    /// <param name="state">State of a point; a provisional one tells least.</param>
    /// <param name="group">Points behind those that are shown together; 1 = all are there.</param>
    public static IReadOnlyList<T> Extremes<T>(IReadOnlyList<T> points, int columns, Func<T, double> value, Func<T, TrackerState> state, out int group)
    {
        ArgumentNullException.ThrowIfNull(points);
        ArgumentNullException.ThrowIfNull(value);
        ArgumentNullException.ThrowIfNull(state);
        group = points.Count <= 2 * columns ? 1 : (int)Math.Ceiling(points.Count / (columns / 2.0));
        if (group == 1) return points;
        var kept = new List<T>(columns * 3 / 2);
        for (var first = 0; first < points.Count; first += group)
        {
            var end = Math.Min(points.Count, first + group);
            int least = first, largest = first, worst = first;
            for (var i = first + 1; i < end; i++)
            {
                if (value(points[i]) < value(points[least])) least = i;
                if (value(points[i]) > value(points[largest])) largest = i;
                if (Badness(state(points[i])) > Badness(state(points[worst]))) worst = i;
            }
            for (var i = first; i < end; i++)
                if (i == least || i == largest || i == worst) kept.Add(points[i]);
        }
        return kept;
    }

    /// <summary>Says what is drawn of a group of neighbours; empty for a group of one.</summary>
    public static string Words(int group) => group == 1 ? "" : $" More than the plot can show: of every {group} neighbours it shows the least, the largest and the one with the worst state.";

    private static int Badness(TrackerState state) => state switch { TrackerState.Provisional => 0, TrackerState.Normal => 1, TrackerState.Warning => 2, _ => 3 };
}
