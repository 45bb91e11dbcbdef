using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>A state to keep: after the value of an orbit.</summary>
/// <param name="Orbit">Orbit of the last value that it has seen.</param>
/// <param name="ForGood">It opens a stretch of <see cref="SeriesRun.ForGoodEvery"/> orbits.</param>
/// <param name="State">Bytes, see <see cref="ChartStateCodec"/>.</param>
public sealed record KeptState(int Orbit, bool ForGood, byte[] State);

/// <summary>
/// Runs the charts of a series over its values: each coefficient set in force is a reference of its own, from which the charts start again. A run may begin at a
/// state of an earlier run; the result is the same.
/// </summary>
public static class SeriesRun
{
    /// <summary>A state is taken with the first value in every stretch of so many orbits (chosen: live data change the last three orbits, and at most so many more are charted with them).</summary>
    public const int StateEvery = 8;

    /// <summary>States with the first value in every stretch of so many orbits stay for good (chosen: late data cost at most 17 days of charts more than they must).</summary>
    public const int ForGoodEvery = 256;

    /// <summary>Points of all values (finite, in rising order of orbits).</summary>
    public static IReadOnlyList<ChartedValue> All(ITracker tracker, IEnumerable<TrackerValue> values, CoefficientTimeline coefficients) =>
        Continue(tracker, values, coefficients, null, null, out _);

    /// <summary>Points of the values behind a state, and states to keep.</summary>
    /// <param name="tracker">The series' tracker.</param>
    /// <param name="values">Finite values behind the state, in rising order of orbits.</param>
    /// <param name="coefficients">Sets in force.</param>
    /// <param name="after">Orbit of the last value that the state has seen; null = none.</param>
    /// <param name="from">The state; null = the start.</param>
    /// <param name="states">States to keep, in rising order of orbits.</param>
    public static IReadOnlyList<ChartedValue> Continue(ITracker tracker, IEnumerable<TrackerValue> values, CoefficientTimeline coefficients, int? after, byte[]? from, out IReadOnlyList<KeptState> states)
    {
        var points = new List<ChartedValue>();
        var kept = new List<KeptState>();
        SeriesChart? chart = null;
        var known = from is null ? ((Instant Reference, SeriesChartState State)?)null : ChartStateCodec.Read(from);
        var reference = known?.Reference ?? Instant.MinValue;
        var before = after;
        foreach (var value in values)
        {
            var set = coefficients.At(value.Time);
            var counts = set?.From ?? Instant.MinValue;
            if (chart is null && known is { } k && k.Reference == counts) chart = new(tracker, value.Key, set?.Set, ChartDesign.Default, k.State);
            else if (chart is null || counts != reference) chart = new(tracker, value.Key, set?.Set, ChartDesign.Default);
            reference = counts;
            points.Add(chart.Next(value));
            if (Opens(StateEvery, before, value.Orbit)) kept.Add(new(value.Orbit, Opens(ForGoodEvery, before, value.Orbit), ChartStateCodec.Write(reference, chart.State)));
            before = value.Orbit;
        }
        states = kept;
        return points;
    }

    // By orbit numbers alone, so that it does not matter when which values came.
    private static bool Opens(int stretch, int? before, int orbit) => before is not { } b || Stretch(b, stretch) != Stretch(orbit, stretch);

    private static int Stretch(int orbit, int length) => (int)Math.Floor(orbit / (double)length);
}
