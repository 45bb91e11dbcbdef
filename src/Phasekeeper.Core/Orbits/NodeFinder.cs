using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits;

/// <summary>
/// Ascending nodes: northward crossings of the equator of date, which is z = 0 in TEME. Scanned every 60 s, so an orbit must stay longer than that on
/// either side; the crossing is then halved down to 0.1 µs, far below the 1 ms at which orbits are told apart (test Nodes_lie_on_the_equator).
/// </summary>
public static class NodeFinder
{
    private const double ScanSeconds = 60;

    /// <summary>All ascending nodes from <paramref name="from"/> to <paramref name="to"/> (both included) that the ephemeris covers, in order.</summary>
    public static IReadOnlyList<Instant> AscendingNodes(IEphemeris ephemeris, Instant from, Instant to)
    {
        var nodes = new List<Instant>();
        foreach (var stretch in ephemeris.Coverage)
        {
            var start = stretch.Start > from ? stretch.Start : from;
            var end = stretch.End < to ? stretch.End : to;
            if (start > end) continue;
            Instant? earlier = null;
            for (var time = start; ; time = time.AddSeconds(ScanSeconds) is var next && next < end ? next : end)
            {
                // Covered, but without a state: mean elements of a satellite that has come down.
                if (!ephemeris.TryGetState(time, out var state)) earlier = null;
                else if (state.PositionTemeM.Z < 0) earlier = time;
                else
                {
                    if (earlier is { } south) nodes.Add(Refine(ephemeris, south, time));
                    else if (time == start && state.PositionTemeM.Z == 0 && state.VelocityTemeMs.Z > 0) nodes.Add(time);
                    earlier = null;
                }
                if (time == end) break;
            }
        }
        return nodes;
    }

    private static Instant Refine(IEphemeris ephemeris, Instant south, Instant north)
    {
        while (north.TaiNanoseconds - south.TaiNanoseconds > 100)
        {
            var middle = new Instant(south.TaiNanoseconds + (north.TaiNanoseconds - south.TaiNanoseconds) / 2);
            if (ephemeris.TryGetState(middle, out var state) && state.PositionTemeM.Z < 0) south = middle;
            else north = middle;
        }
        return north;
    }
}
