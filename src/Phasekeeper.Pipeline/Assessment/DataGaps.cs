using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>Stretches without any packet. Coverage is kept by hour, so a gap is where all streams pause; within an hour the sequence counts tell.</summary>
public static class DataGaps
{
    /// <summary>From when on packets are looked at for an orbit's gaps: a change of data marks the orbits that lean on it, which reach as far.</summary>
    public static Instant LookBack(OrbitSlot orbit, OrbitCalendar orbits)
    {
        ArgumentNullException.ThrowIfNull(orbits);
        for (var back = OrbitInput.RecentOrbits; back > 0; back--)
            if (orbits.Of(orbit.Number - back) is { } before) return before.Start;
        return orbit.Start;
    }

    /// <summary>
    /// Longest stretch without any packet that lies in an orbit, ends in it or begins in it, s. One that ends in it counts from where it began, also in orbits before; one that goes on beyond its end counts up to
    /// there, since the orbit in which it ends counts it whole. Before the first packet there is no gap.
    /// </summary>
    /// <param name="coverage">Packets before the orbit's end, as far back as a gap is followed.</param>
    /// <param name="start">The orbit's start.</param>
    /// <param name="end">Its end.</param>
    /// <param name="missionTime">Time of the newest packet.</param>
    public static double LongestS(IReadOnlyList<CoverageRow> coverage, Instant start, Instant end, Instant missionTime)
    {
        ArgumentNullException.ThrowIfNull(coverage);
        if (coverage.Count == 0) return 0;
        var longest = 0.0;
        Instant? last = null;
        foreach (var row in coverage.OrderBy(c => c.FirstTime))
        {
            if (last is { } before && row.FirstTime > before && row.FirstTime >= start) longest = Math.Max(longest, row.FirstTime - before);
            if (last is null || row.LastTime > last) last = row.LastTime;
        }
        var until = missionTime < end ? missionTime : end;
        return Math.Max(longest, until - last!.Value);
    }
}
