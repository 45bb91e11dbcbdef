using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>
/// Fringes, temperatures, sun and looks of one orbit from the stores: the part of the trackers' input that drift and image shift follow from. The orbit
/// stage adds channels and completeness; pages that draw an orbit read this alone.
/// </summary>
/// <param name="stores">Temperatures and, without a source, fringes.</param>
/// <param name="source">Fringes; null: the stored ones.</param>
public sealed class OrbitInputReader(Stores stores, IFringeSource? source = null)
{
    private readonly IFringeSource fringes = source ?? new StoredFringes(stores);
    // The lag tracker searches up to this many times the approved lag.
    private const double LongestLagFactor = ThermalLagTracker.SearchFactor;
    private readonly TemperatureLookup temperatures = new(stores);

    /// <summary>Reads an orbit. <paramref name="sky"/>: sun and shadow; null without an orbit file.</summary>
    public OrbitInput Read(OrbitSlot orbit, MissionState mission, Instant missionTime, OrbitSky? sky)
    {
        var length = orbit.End - orbit.Start;
        var windowStart = orbit.Start.AddSeconds(-OrbitInput.ReachOrbits * length);
        var windowEnd = orbit.End.AddSeconds(OrbitInput.ReachOrbits * length);
        // Nothing behind the end of the window is read: an orbit is final as soon as mission time is there.
        var all = mission.Instrument is null ? [] : fringes.Read(windowStart, windowEnd).Select(f => f.Result)
            .OrderBy(f => f.Time).ThenBy(f => f.Exposure).ThenBy(f => f.View, StringComparer.Ordinal).ThenBy(f => f.Line, StringComparer.Ordinal).ToArray();
        var own = all.Where(f => f.Time >= orbit.Start && f.Time < orbit.End).ToArray();
        var neighbours = all.Where(f => f.Time < orbit.Start || f.Time >= orbit.End).ToArray();
        var coefficients = mission.Coefficients.At(orbit.Start);
        var longestLag = LongestLagFactor * (coefficients?.Set.Optics.Max(o => o.Thermal.LagS) ?? 0);
        var input = new OrbitInput
        {
            Orbit = orbit.Number,
            Start = orbit.Start,
            End = orbit.End,
            Complete = missionTime >= orbit.End,
            NeighboursComplete = missionTime >= windowEnd,
            Instrument = mission.Instrument,
            Coefficients = coefficients?.Set,
            Fringes = own,
            NeighbourLamps = [.. neighbours.Where(f => f.Kind == ExposureKind.Lamp)],
            NeighbourShifts = [.. neighbours.Where(f => double.IsFinite(f.ImageShiftSamples) && f.ImageShiftSigmaSamples > 0)
                .Select(f => new ImageShiftMeasurement(f.Time, f.View, f.ImageShiftSamples, f.ImageShiftSigmaSamples))],
            BenchC = temperatures.Series(mission.Profile.BenchTemperature, windowStart.AddSeconds(-TemperatureLookup.LongestGapS), windowEnd),
            DetectorC = temperatures.Series(mission.Profile.DetectorTemperature, orbit.Start.AddSeconds(-TemperatureLookup.LongestGapS), orbit.End.AddSeconds(TemperatureLookup.LongestGapS)),
            Setting = sky?.Setting,
            Geometry = Geometry(own, mission),
        };
        return input with
        {
            InterferometerC = temperatures.Series(mission.Profile.InterferometerTemperature, input.TemperatureFrom(longestLag).AddSeconds(-TemperatureLookup.LongestGapS), windowEnd),
        };
    }

    private static List<ExposureGeometry> Geometry(IReadOnlyList<FringeResult> fringes, MissionState mission)
    {
        var list = new List<ExposureGeometry>();
        if (mission.Instrument is not { } instrument) return list;
        foreach (var exposure in fringes.Where(f => f.Kind == ExposureKind.Scene).GroupBy(f => (f.Exposure, f.Time)).OrderBy(g => g.Key.Exposure))
        {
            if (LookTable.At(exposure.Key.Time, mission) is not { } looks) continue;
            for (var v = 0; v < instrument.Views.Count; v++)
                list.Add(new(exposure.Key.Exposure, instrument.Views[v].Id, looks.Satellite.LatitudeRad * (180 / Math.PI), looks.Satellite.LongitudeRad * (180 / Math.PI),
                    [.. looks.Looks[v].Select(l => l.TangentAltitudeM * 1e-3)]));
        }
        return [.. list.OrderBy(g => g.Exposure).ThenBy(g => g.View, StringComparer.Ordinal)];
    }
}
