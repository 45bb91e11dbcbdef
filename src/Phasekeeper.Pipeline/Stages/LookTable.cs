using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Orbits;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>Where the rows of one exposure look.</summary>
/// <param name="Ephemeris">The orbit file that was used.</param>
/// <param name="AttitudeFile">Id of the attitude file that was used; null = nominal.</param>
/// <param name="Satellite">Point below the satellite (altitude of the satellite itself).</param>
/// <param name="VelocityEcefAxesMs">Inertial velocity of the satellite on Earth-fixed axes, m/s.</param>
/// <param name="Looks">[view in the instrument's order][row].</param>
public sealed record ExposureLooks(EphemerisFile Ephemeris, long? AttitudeFile, Geodetic Satellite, Vec3 VelocityEcefAxesMs, LookSample[][] Looks);

/// <summary>Computes looks of exposures from the orbit and attitude files in force.</summary>
public static class LookTable
{
    /// <summary>Looks at a moment; null where no orbit file covers it, or its attitude is not known.</summary>
    public static ExposureLooks? At(Instant time, MissionState mission)
    {
        if (mission.Instrument is not { } instrument) return null;
        if (!mission.Ephemerides.TryGetState(time, out var state, out var file)) return null;
        BodyAttitude? attitude = null;
        long? attitudeFile = null;
        if (mission.Attitudes.TryGet(time, out var reported, out var id)) (attitude, attitudeFile) = (reported, id);
        else if (!mission.Attitudes.OtherwiseNominal) return null;
        var geometry = new LookGeometry(time, state, attitude);
        var looks = instrument.Views.Select(v => Rows(geometry, v, instrument)).ToArray();
        return new ExposureLooks(file, attitudeFile, Wgs84.ToGeodetic(geometry.SatelliteEcefM), EarthRotation.TemeToEcef(time) * state.VelocityTemeMs, looks);
    }

    private static LookSample[] Rows(LookGeometry geometry, ViewModel view, InstrumentModel instrument)
    {
        var rows = new LookSample[instrument.Rows];
        for (var r = 0; r < rows.Length; r++) rows[r] = geometry.Look(view.AzimuthDeg, instrument.RowDepressionDeg[r]);
        return rows;
    }
}
