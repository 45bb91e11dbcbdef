using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Exports;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Exports;

/// <summary>A day of made-up winds on the demo's instrument: figures that can be told from one another, gaps, bad rows, a missing line.</summary>
internal static class SimulatedWindDay
{
    public static readonly DateOnly Date = new(2031, 5, 9);
    private static readonly Lazy<Core.Profile.MissionProfile> Profile = new(() =>
    {
        var folder = Directory.CreateTempSubdirectory("phasekeeper-profile-").FullName;
        try
        {
            new ScenarioGenerator(DemoScenario.Default, events: []).WriteProfile(folder);
            return MissionFolder.Load(folder).Profile;
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    });

    public static WindDay Of(DateOnly date, double firstSecond = 0)
    {
        var (profile, instrument) = (Profile.Value, Profile.Value.Instrument!);
        var midnight = Instant.StartOf(date);
        List<StoredLosWind> winds = [];
        List<StoredWindVectors> vectors = [];
        for (var e = 0; e < 6; e++)
            foreach (var line in instrument.Lines)
            {
                var time = midnight.AddSeconds(firstSecond + 60 * e + 0.25);
                foreach (var view in instrument.Views)
                    if (e != 2 || line != instrument.Lines[1]) winds.Add(Wind(time, 1000 + e, view.Id, line.Id, instrument.Rows));
                if (e is 4 or 5) vectors.Add(Vectors(time, 1000 + e, line.Id, instrument.Rows));
            }
        return new(date, profile, [.. winds.OrderBy(w => w.Profile.Time).ThenBy(w => w.Profile.View, StringComparer.Ordinal).ThenBy(w => w.Profile.Line, StringComparer.Ordinal)], vectors,
            new Dictionary<long, string> { [7] = "ground 1, corrected" }, new Dictionary<long, string> { [2] = "0123456789ab" });
    }

    private static StoredLosWind Wind(Instant time, long exposure, string view, string line, int rows) => new()
    {
        Orbit = 12,
        CoefficientSet = 7,
        EphemerisFile = 2,
        InputHash = [(byte)exposure, (byte)view[0], (byte)line[0]],
        SoftwareVersion = "0.1.0",
        Profile = new()
        {
            Time = time,
            Exposure = exposure,
            View = view,
            Line = line,
            MatrixRows = [2, 1],
            KernelAltitudeKm = [88, 96, 140],
            AveragingKernel = [0.75, 0.25, 0.125, -0.25, 0.5, 0.0625],
            CovarianceM2S2 = [4, 1, 1, 9],
            CorrelationKm = 16,
            Rows = [.. Enumerable.Range(0, rows).Select(r => r == 0
                ? new LosWind { Row = 0, LatitudeRad = 0.1, LongitudeRad = -3, AltitudeKm = 80, AzimuthRad = 1, Quality = WindQuality.Bad, Reasons = [new(WindQuality.Bad, "no-phase", "")] }
                : new LosWind
                {
                    Row = r,
                    LatitudeRad = 0.1 + 0.001 * r,
                    LongitudeRad = -3 + 0.001 * exposure,
                    AltitudeKm = 80 + 8 * r,
                    AzimuthRad = 1,
                    WindMs = exposure - 1000 + 0.125 * r,
                    ApparentMs = 5,
                    ApparentSigmaMs = 2,
                    SigmaMs = 3 + r,
                    SigmaThroughKernelMs = 2,
                    VerticalResolutionKm = r == 1 ? double.NaN : 10,
                    KernelDiagonal = 0.8,
                    Budget = new(1, 2, 0.5, 0.25, 0.1, new(-0.8, 0.6, 0), 1),
                    Quality = r == 1 ? WindQuality.Doubtful : WindQuality.Good,
                    Reasons = r == 1 ? [new(WindQuality.Doubtful, "weak-emission", ""), new(WindQuality.Doubtful, "south-atlantic", "")] : [],
                })],
        },
    };

    private static StoredWindVectors Vectors(Instant time, long exposure, string line, int rows) => new()
    {
        Orbit = 12,
        Line = line,
        Exposure = exposure,
        ExposureTime = time,
        InputHash = [(byte)exposure],
        SoftwareVersion = "0.1.0",
        Vectors = [.. Enumerable.Range(2, rows - 2).Select(r => new WindVector
        {
            Time = time.AddSeconds(-200),
            Line = line,
            FirstExposure = exposure - 3,
            SecondExposure = exposure,
            Row = r,
            LatitudeRad = 0.1 + 0.001 * r,
            LongitudeRad = -3 + 0.001 * exposure,
            AltitudeKm = 80 + 8 * r,
            SecondsBetweenLooks = 400,
            SeparationKm = 30,
            EastwardMs = -40 - r,
            NorthwardMs = 25.5,
            EastwardSigmaMs = 4,
            NorthwardSigmaMs = 5,
            CovarianceM2S2 = -3,
            Quality = WindQuality.Good,
            Reasons = [],
        })],
    };
}
