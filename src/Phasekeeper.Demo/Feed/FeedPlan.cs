using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Environment;

namespace Phasekeeper.Demo.Feed;

/// <summary>How a stretch of time is cut into files.</summary>
public static class FeedPlan
{
    /// <summary>Windows of one orbit each (node to node), clipped to [from, to), in the order of time.</summary>
    public static IEnumerable<(Instant From, Instant To)> OrbitWindows(CircularOrbit orbit, Instant from, Instant to)
    {
        var a = from;
        while (a < to)
        {
            // A window never begins within half a second of its end: rounding must not give the node just left.
            var next = orbit.NodeAtOrBefore(a.AddSeconds(orbit.PeriodS));
            if (next - a < 0.5) next = orbit.NodeAtOrBefore(next.AddSeconds(orbit.PeriodS + 0.5));
            var b = next < to ? next : to;
            yield return (a, b);
            a = b;
        }
    }

    /// <summary>Name of the file of a window.</summary>
    public static string FileName(Instant from, Instant to) => $"kittiwake-{Stamp(from)}-{Stamp(to)}.pkt";

    internal static string Stamp(Instant time) => time.ToDateTimeUtc().ToString("yyyyMMdd'T'HHmmss'Z'", CultureInfo.InvariantCulture);
}
