using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Trackers;

/// <summary>Spikes of one exposure and view, at the point below the satellite.</summary>
/// <param name="Exposure">Exposure number.</param>
/// <param name="Time">Middle of the exposure.</param>
/// <param name="View">View id.</param>
/// <param name="LatitudeDeg">Geodetic latitude, degrees.</param>
/// <param name="LongitudeDeg">Longitude, degrees east.</param>
/// <param name="SpikesPerFrame">Masked samples, all lines, scaled to full frames.</param>
public readonly record struct SpikeLocation(long Exposure, Instant Time, string View, double LatitudeDeg, double LongitudeDeg, double SpikesPerFrame);

/// <summary>Where on the globe the spikes of an orbit fell.</summary>
public static class SpikeMap
{
    /// <summary>One entry an exposure and view of known place, in time order.</summary>
    public static IReadOnlyList<SpikeLocation> Of(OrbitInput input)
    {
        var places = input.Geometry.GroupBy(g => (g.Exposure, g.View)).ToDictionary(g => g.Key, g => g.First());
        List<SpikeLocation> result = [];
        foreach (var group in input.Fringes.Where(f => f.Kind == ExposureKind.Scene).GroupBy(f => (f.Exposure, f.View)))
        {
            if (!places.TryGetValue(group.Key, out var place)) continue;
            var spikes = group.Sum(f => double.IsFinite(PerFrame(f)) ? PerFrame(f) : 0);
            result.Add(new(group.Key.Exposure, group.First().Time, group.Key.View, place.SatelliteLatitudeDeg, place.SatelliteLongitudeDeg, spikes));
        }
        return result;
    }

    /// <summary>Spike samples of one result scaled to all its rows; NaN when no row arrived.</summary>
    public static double PerFrame(FringeResult f)
    {
        int rows = 0, spikes = 0;
        for (var r = 0; r < f.Status.Length; r++)
        {
            if (f.Status[r] == RowStatus.Missing) continue;
            rows++;
            spikes += f.SpikeSamples[r];
        }
        return rows == 0 ? double.NaN : (double)spikes * f.Status.Length / rows;
    }
}
