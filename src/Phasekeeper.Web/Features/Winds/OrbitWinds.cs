using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>One orbit's wind vectors, arranged as pages draw them.</summary>
public sealed class OrbitWinds
{
    private const double MinuteS = 60;

    private OrbitWinds(OrbitSlot slot, double cadenceS, IReadOnlyDictionary<string, WindGrid> grids, IReadOnlyList<PlotBand> bands, bool provisional) =>
        (Slot, CadenceS, Grids, Bands, Provisional) = (slot, cadenceS, grids, bands, provisional);

    /// <summary>The orbit.</summary>
    public OrbitSlot Slot { get; }

    /// <summary>Time between exposures, s.</summary>
    public double CadenceS { get; }

    /// <summary>Vectors by line id; a line without vectors has none.</summary>
    public IReadOnlyDictionary<string, WindGrid> Grids { get; }

    /// <summary>The satellite's shadow and night where it looks, in minutes since the orbit's start.</summary>
    public IReadOnlyList<PlotBand> Bands { get; }

    /// <summary>True while orbits on which its winds lean have not arrived.</summary>
    public bool Provisional { get; }

    /// <summary>All vectors.</summary>
    public IEnumerable<WindVector> Vectors => Grids.Values.SelectMany(g => g.Vectors);

    /// <summary>Minutes since the orbit's start.</summary>
    public double MinuteOf(Instant time) => (time - Slot.Start) / MinuteS;

    /// <summary>Reads an orbit; without vectors its grids are empty.</summary>
    public static OrbitWinds Read(Stores stores, MissionState mission, OrbitSlot slot)
    {
        var cadence = mission.Profile.SceneSeconds > 0 ? mission.Profile.SceneSeconds : MinuteS;
        var stored = stores.WindVectors.OfOrbit(slot.Number);
        var grids = stored.GroupBy(s => s.Line).ToDictionary(g => g.Key, g => WindGrid.Of(slot, cadence, [.. g]), StringComparer.Ordinal);
        List<PlotBand> bands = [.. (OrbitSky.Of(slot, mission)?.Shadows ?? []).Select(s => new PlotBand((s.Start - slot.Start) / MinuteS, (s.End - slot.Start) / MinuteS, PlotBandKind.Shadow, "satellite in the Earth's shadow"))];
        bands.AddRange(Nights(slot, cadence, stored));
        return new(slot, cadence, grids, bands, stores.Orbits.Get(slot.Number)?.Provisional ?? false);
    }

    // Night where the winds are measured: the Sun below the horizon at the middle of the exposure's tangent points.
    private static IEnumerable<PlotBand> Nights(OrbitSlot slot, double cadenceS, IReadOnlyList<StoredWindVectors> stored)
    {
        (double From, double To)? open = null;
        foreach (var exposure in stored.GroupBy(s => (s.ExposureTime, s.Exposure)).OrderBy(g => g.Key.ExposureTime).Select(g => g.First().Vectors))
        {
            var v = exposure[exposure.Count / 2];
            var (from, to) = ((v.Time - slot.Start - cadenceS / 2) / MinuteS, (v.Time - slot.Start + cadenceS / 2) / MinuteS);
            var isNight = SolarElevationRad(v.LatitudeRad, v.LongitudeRad, v.Time) < 0;
            if (isNight && open is { } o && from - o.To < 3 * cadenceS / MinuteS) open = (o.From, to);
            else
            {
                if (open is { } done) yield return Night(done);
                open = isNight ? (from, to) : null;
            }
        }
        if (open is { } last) yield return Night(last);

        static PlotBand Night((double From, double To) o) => new(o.From, o.To, PlotBandKind.Night, "night at the tangent point");
    }

    /// <summary>Height of the Sun's centre over the horizon of a place, rad, without refraction.</summary>
    public static double SolarElevationRad(double latitudeRad, double longitudeRad, Instant time)
    {
        var sun = SunPosition.DirectionEcef(time);
        return Math.Asin(Math.Clamp(Vec3.Dot(Wgs84.LocalAxes(latitudeRad, longitudeRad).Up, sun), -1, 1));
    }
}
