using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Web.Features.Drift;

namespace Phasekeeper.Web.Tests.Features.Drift;

/// <summary>Long series on a plot.</summary>
public sealed class DriftPointTests
{
    private static DriftPoint Point(int orbit, double value, TrackerState state = TrackerState.Normal) =>
        new(orbit, Instant.FromUtc(2031, 1, 1).AddSeconds(orbit * 5700.0), value, 1, 0, 0, -1, 1, 0, 0, state);

    [Fact]
    public void What_fits_is_shown_as_it_is()
    {
        DriftPoint[] points = [.. Enumerable.Range(0, 2000).Select(i => Point(i, i))];
        Assert.Same(points, DriftPoint.Thin(points, 1000, out var group));
        Assert.Equal(1, group);
    }

    [Fact]
    public void Of_five_years_the_extremes_and_the_worst_stay_in_order()
    {
        var random = new Random(5);
        var points = Enumerable.Range(0, 27_000).Select(i => Point(i, random.NextDouble())).ToArray();
        (points[12_345], points[20_000]) = (Point(12_345, 0.5, TrackerState.Critical), Point(20_000, 0.5, TrackerState.Warning));
        points[7] = Point(7, 9);
        points[26_999] = Point(26_999, -9);
        var shown = DriftPoint.Thin(points, 1000, out var group);
        Assert.Equal(54, group);
        Assert.InRange(shown.Count, 1000, 1500);
        Assert.Equal(shown.OrderBy(p => p.Orbit), shown);
        Assert.Superset(new HashSet<DriftPoint> { points[7], points[12_345], points[20_000], points[26_999] }, shown.ToHashSet());
        // Nothing is drawn that is not a value, and nothing that lies further out is left away.
        Assert.Subset(points.ToHashSet(), shown.ToHashSet());
        foreach (var columns in points.Chunk(group))
        {
            var here = shown.Where(p => p.Orbit >= columns[0].Orbit && p.Orbit <= columns[^1].Orbit).ToArray();
            Assert.Equal((columns.Min(p => p.Value), columns.Max(p => p.Value)), (here.Min(p => p.Value), here.Max(p => p.Value)));
        }
    }
}
