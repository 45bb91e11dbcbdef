using System.Globalization;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Truth;

/// <summary>Writes what was put in, to be compared with what is found.</summary>
public sealed class TruthWriter(ScenarioGenerator generator, ExposureSynthesizer exposures)
{
    /// <summary>
    /// Columns of the scene file. <c>motion_m_per_s</c> is w0 of the nominal attitude; <c>phase_rad</c> the scene phase of contract.md section 4
    /// (optical drift, image shift and wind in; motion, Ψ and Z out; not wrapped).
    /// </summary>
    public const string SceneHeader = "# exposure,view,line,row,time_unix_s,optical_drift_rad,image_shift_samples,motion_m_per_s,phase_rad,signal_electrons,"
        + "tangent_latitude_deg,tangent_longitude_deg,tangent_altitude_km,look_azimuth_deg,los_wind_at_tangent_m_per_s,eastward_m_per_s,northward_m_per_s";

    /// <summary>Columns of the drift file: a line per lamp exposure and view.</summary>
    public const string DriftHeader = "# exposure,view,time_unix_s,interferometer_c,optics_lagged_c,bench_c,detector_c,sunlit_share,green_drift_rad,red_drift_rad,"
        + "image_shift_samples,lamp_factor,visibility_factor,dark_electrons_per_s,yaw_error_deg,beta_deg";

    /// <summary>Writes the rows of the scenes with their middle in [from, end).</summary>
    public void WriteScenes(TextWriter to, Instant from, Instant end, int maxDegree)
    {
        to.Write(SceneHeader + "\n");
        var scenes = generator.Schedule.Between(from, end).Where(e => e.Kind == ExposureKind.Scene).ToArray();
        foreach (var text in scenes.AsParallel().AsOrdered().WithDegreeOfParallelism(Math.Max(1, maxDegree)).Select(SceneText)) to.Write(text);
    }

    /// <summary>Writes the drifts at the lamp exposures with their middle in [from, end).</summary>
    public void WriteDrift(TextWriter to, Instant from, Instant end)
    {
        to.Write(DriftHeader + "\n");
        foreach (var e in generator.Schedule.Between(from, end).Where(e => e.Kind == ExposureKind.Lamp))
        {
            var t = generator.Thermal.At(e.Time);
            for (var v = 0; v < 2; v++)
                to.Write(string.Create(CultureInfo.InvariantCulture, $"{e.Id},{generator.Instrument.Model.Views[v].Id},{e.Time.ToUnixSeconds():F3},{t.InterferometerC:F5},{t.OpticsC:F5},{t.BenchC:F5},{t.DetectorC:F5},{t.SunlitShare:F4},")
                    + string.Create(CultureInfo.InvariantCulture, $"{generator.State.OpticalDriftRad(generator.Instrument.Optics[2 * v], e.Time):F6},{generator.State.OpticalDriftRad(generator.Instrument.Optics[2 * v + 1], e.Time):F6},")
                    + string.Create(CultureInfo.InvariantCulture, $"{generator.State.ImageShiftSamples(v, e.Time):F6},{generator.State.LampFactor(e.Time):F6},{generator.State.VisibilityFactor(v, e.Time):F6},{generator.State.DarkElectronsPerS(e.Time):F6},")
                    + string.Create(CultureInfo.InvariantCulture, $"{generator.State.YawErrorDeg(e.Time):F3},{generator.Orbit.BetaRad(e.Time) * 180 / Math.PI:F3}\n"));
        }
    }

    private string SceneText(Exposure e)
    {
        var text = new System.Text.StringBuilder();
        var limb = exposures.LimbAt(e.Time);
        var sights = new LimbSight[Tern.Rows];
        foreach (var o in generator.Instrument.Optics)
        {
            var view = o.Index / 2;
            if (o.Index % 2 == 0) exposures.LookAll(limb, view, e.Time, sights);
            var drift = generator.State.OpticalDriftRad(o, e.Time);
            var shift = generator.State.ImageShiftSamples(view, e.Time);
            for (var row = 0; row < Tern.Rows; row++)
            {
                var s = sights[row];
                var light = ExposureSynthesizer.LightOf(o, s);
                var phase = drift - 2 * Math.PI * o.Line.Cycles * shift / Tern.Samples - o.Kappa * (s.MotionMs - s.NominalMotionMs) + Math.Atan2(light.C0Im, light.C0Re);
                text.Append(CultureInfo.InvariantCulture, $"{e.Id},{o.View.Id},{o.Line.Id},{row},{e.Time.ToUnixSeconds():F3},{drift:F6},{shift:F6},{s.NominalMotionMs:F3},{phase:F6},");
                text.Append(CultureInfo.InvariantCulture, $"{ExposureSynthesizer.SceneElectrons(o, s, e.IntegrationS):F1},{s.Tangent.LatitudeDeg:F4},{s.Tangent.LongitudeDeg:F4},{s.Tangent.AltitudeKm:F3},");
                text.Append(CultureInfo.InvariantCulture, $"{s.AzimuthDeg:F3},{s.LineOfSightWindMs:F3},{s.EastwardMs:F3},{s.NorthwardMs:F3}\n");
            }
        }
        return text.ToString();
    }
}
