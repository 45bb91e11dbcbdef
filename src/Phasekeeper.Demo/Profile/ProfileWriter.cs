using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Profile;

/// <summary>
/// Writes the mission profile folder of contract.md section 2: profile.json, packets.xtce.xml, coefficients.json with its flat fields,
/// orbit.oem and activities.ics.
/// </summary>
public sealed class ProfileWriter(ScenarioGenerator generator)
{
    /// <summary>Revolutions before the first node of the orbit file: the satellite has flown for nine months.</summary>
    public const int RevolutionOffset = 4173;

    private static readonly JsonSerializerOptions Json = new()
    {
        WriteIndented = true,
        NewLine = "\n",
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    /// <summary>Writes the folder; files of the same names are replaced.</summary>
    /// <param name="folder">Folder; created if absent.</param>
    /// <param name="orbitEnd">How far the orbit file reaches; null = 30 days after the scenario's first "now".</param>
    public void Write(string folder, Instant? orbitEnd)
    {
        Directory.CreateDirectory(folder);
        void Save(string name, string text) => File.WriteAllText(Path.Combine(folder, name), text, new UTF8Encoding(false));
        var end = orbitEnd ?? generator.Scenario.FirstNow.AddSeconds(30 * 86400.0);
        Save("profile.json", JsonSerializer.Serialize(Profile(), Json) + "\n");
        Save("packets.xtce.xml", XtceWriter.Write(generator.Instrument));
        var calibration = new GroundCalibration(generator);
        Save("coefficients.json", JsonSerializer.Serialize(calibration.Coefficients(), Json) + "\n");
        foreach (var (name, text) in calibration.Flats()) Save(name, text);
        Save("orbit.oem", OrbitFile.Write(generator.Orbit, generator.Scenario.Start.AddSeconds(-12 * 3600), end, generator.Scenario.Start));
        Save("activities.ics", ActivitiesFile.Write(generator.Scenario));
    }

    private object Profile()
    {
        var model = generator.Instrument.Model;
        return new
        {
            schema = "phasekeeper-profile/1",
            spacecraft = new { name = "Kittiwake", catalogNumber = 99201, revolutionOffset = RevolutionOffset },
            missionSpan = new[] { generator.Scenario.Start.AddSeconds(-86400.0 * 30).ToString(), generator.Scenario.Start.AddSeconds(86400.0 * 3650).ToString() },
            orbit = "orbit.oem",
            attitude = "nominal",
            packets = new
            {
                definition = "packets.xtce.xml",
                checksum = "crc16",
                time = new { code = "cds", day = "T_DAY", millisecond = "T_MS", microsecond = "T_US", epoch = "1958-01-01T00:00:00Z", scale = "utc" },
            },
            fringe = new
            {
                container = "FringeRow",
                exposure = "FR_EXPOSURE",
                kind = "FR_KIND",
                view = "FR_VIEW",
                line = "FR_LINE",
                row = "FR_ROW",
                integration = "FR_INTEGRATION_MS",
                samples = "FR_SAMPLES",
                timeTag = "middle",
            },
            instrument = new
            {
                name = model.Name,
                rows = model.Rows,
                samples = model.Samples,
                electronsPerCount = model.ElectronsPerCount,
                readNoiseElectrons = model.ReadNoiseElectrons,
                saturationCounts = model.SaturationCounts,
                rowDepressionDeg = model.RowDepressionDeg,
                views = model.Views.Select(v => new { id = v.Id, azimuthDeg = v.AzimuthDeg }),
                lines = model.Lines.Select(l => new
                {
                    id = l.Id,
                    wavelengthVacuumNm = l.WavelengthVacuumNm,
                    cycles = l.Cycles,
                    opdMm = l.OpdMm,
                    opdStepUm = l.OpdStepUm,
                    lampWavelengthVacuumNm = l.LampWavelengthVacuumNm,
                    lampCycles = l.LampCycles,
                }),
                fiducials = model.Fiducials.Select(f => new { sample = f.Sample, depth = f.Depth, widthSamples = f.WidthSamples }),
                // Star trackers of the better sort, aligned in flight: 0.003° of yaw is 0.3 m/s.
                attitudeSigmaDeg = new { yaw = 0.003, pitch = 0.003, roll = 0.003 },
            },
            roles = new { interferometerTemperature = "IFO_T1", benchTemperature = "OB_T1", detectorTemperature = "DET_T1" },
            coefficients = "coefficients.json",
            cadence = new { sceneSeconds = ExposureSchedule.SceneSeconds, lampSeconds = ExposureSchedule.LampSeconds },
            activities = "activities.ics",
        };
    }
}
