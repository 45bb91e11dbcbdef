using System.Globalization;
using Phasekeeper.Tests;
using Xunit.Abstractions;

namespace Phasekeeper.EndToEnd.Tests.Missions;

/// <summary>
/// Winds of the example mission from packets to API against the winds that its simulator put in: the bars of the core's own test (Winds/ExampleMissionWindTests), but with drift, shift and
/// phases as the pipeline finds them.
/// </summary>
public sealed class ExampleMissionWindTests(ITestOutputHelper output)
{
    private const double LargestErrorMs = 5;

    // Medians as in the core's test; the red line's is 0.73 here, for the drift's own error is common to all. σ is up to twice the errors (error over σ down to 0.49, so the bound is 0.45), since this air has no waves between its rows.
    private static readonly (string Line, int LowKm, int HighKm, double LargestMedianMs)[] Bands =
        [("green", 80, 110, 0.7), ("green", 110, 200, 0.7), ("green", 200, 330, 0.7), ("red", 200, 330, 0.9)];

    private static string Folder => ReferenceFiles.SharedFolder("example-mission")!;

    private sealed record Point(Dictionary<string, string> Wind, Dictionary<string, string> Truth)
    {
        public double ErrorMs => Wind.Number("windMs") - Truth.Number("los_wind_at_tangent_m_per_s");
        public double AltitudeKm => Truth.Number("tangent_altitude_km");
        public bool IsGood => Wind["quality"] == "good";
    }

    [SharedFolderFact("example-mission")]
    public async Task Winds_agree_with_the_truth_within_their_uncertainty_and_lie_where_it_says()
    {
        using var run = new MissionRun(Folder);
        await run.Post(ExampleMissionTests.Packets());
        await run.WaitUntilIdle();
        var found = (await run.Rows("winds/los?limit=1000000")).ToDictionary(ExampleMissionTests.Key);
        var truth = Table.Read(File.ReadAllText(Path.Combine(Folder, "truth.csv")));
        Assert.Equal(truth.Count, found.Count);
        foreach (var put in truth)
        {
            var row = found[ExampleMissionTests.Key(put)];
            Assert.InRange(row.Number("latitudeDeg") - put.Number("tangent_latitude_deg"), -0.001, 0.001);
            Assert.InRange(Math.IEEERemainder(row.Number("longitudeDeg") - put.Number("tangent_longitude_deg"), 360), -0.001, 0.001);
            Assert.InRange(row.Number("altitudeKm") - put.Number("tangent_altitude_km"), -0.05, 0.05);
            Assert.InRange(Math.IEEERemainder(row.Number("azimuthDeg") - put.Number("look_azimuth_deg"), 360), -0.01, 0.01);
        }
        var points = truth.Select(t => new Point(found[ExampleMissionTests.Key(t)], t)).Where(p => p.Wind["windMs"].Length > 0).ToList();
        var beyond = new List<string>();
        foreach (var (line, low, high, largestMedianMs) in Bands)
        {
            var part = points.Where(p => p.Truth["line"] == line && p.AltitudeKm >= low && p.AltitudeKm < high).ToList();
            var good = part.Where(p => p.IsGood).ToList();
            double error = Quantile(part.Select(p => p.ErrorMs), 0.6827), median = Median(good.Select(p => p.ErrorMs));
            var honesty = Quantile(good.Select(p => p.ErrorMs / p.Wind.Number("sigmaMs")), 0.6827);
            output.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"{line,-5} {low}–{high} km: {part.Count} winds, 68 % {error:0.00}, median of good {median:0.00}, |error|/σ of good 68 % {honesty:0.00}, σ {Median(part.Select(p => p.Wind.Number("sigmaMs"))):0.0} m/s, good {good.Count / (double)part.Count:P0}"));
            if (error > LargestErrorMs || Math.Abs(median) >= largestMedianMs || honesty is < 0.45 or > 1.2) beyond.Add($"{line} {low}–{high} km");
        }
        foreach (var reason in points.SelectMany(p => p.Wind["qualityReasons"].Split(';', StringSplitOptions.RemoveEmptyEntries)).GroupBy(r => r).OrderByDescending(g => g.Count()))
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{reason.Key}: {reason.Count() / (double)points.Count:P0}"));
        Assert.Empty(beyond);
    }

    [SharedFolderFact("example-mission")]
    public async Task Vectors_agree_with_the_eastward_and_northward_winds_of_the_truth()
    {
        using var run = new MissionRun(Folder);
        await run.Post(ExampleMissionTests.Packets());
        await run.WaitUntilIdle();
        var vectors = await run.Rows("winds/vector?limit=1000000");
        // The places are tangent points of the second view: the truth's row there is told by line and place.
        var truth = Table.Read(File.ReadAllText(Path.Combine(Folder, "truth.csv"))).Where(t => t["view"] == "T").ToList();
        foreach (var line in new[] { "green", "red" })
        {
            var good = vectors.Where(v => v["line"] == line && v["quality"] == "good").ToList();
            Assert.True(good.Count > 100, $"{good.Count} good {line} vectors");
            var ofLine = truth.Where(t => t["line"] == line).Select(t => (Row: t, Latitude: t.Number("tangent_latitude_deg"), Altitude: t.Number("tangent_altitude_km"))).ToList();
            var pairs = good.Select(v => (Found: v, Truth: At(ofLine, v.Number("latitudeDeg"), v.Number("altitudeKm")))).ToList();
            double[] east = [.. pairs.Select(p => p.Found.Number("eastwardMs") - p.Truth.Number("eastward_m_per_s"))];
            double[] north = [.. pairs.Select(p => p.Found.Number("northwardMs") - p.Truth.Number("northward_m_per_s"))];
            var scaled = pairs.Select((p, i) => east[i] / p.Found.Number("eastwardSigmaMs")).Concat(pairs.Select((p, i) => north[i] / p.Found.Number("northwardSigmaMs")));
            output.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"{line}: {good.Count} good vectors; east 68 % {Quantile(east, 0.6827):0.0} median {Median(east):0.0}; north {Quantile(north, 0.6827):0.0} median {Median(north):0.0} m/s; |error|/σ 68 % {Quantile(scaled, 0.6827):0.00}"));
            Assert.InRange(Quantile(east, 0.6827), 0, 7);
            Assert.InRange(Quantile(north, 0.6827), 0, 7);
            Assert.InRange(Quantile(scaled, 0.6827), 0.5, 1.1);
            Assert.All(good, v => Assert.True(Math.Abs(v.Number("covarianceM2S2")) <= v.Number("eastwardSigmaMs") * v.Number("northwardSigmaMs") * 1.001));
        }
    }

    private static Dictionary<string, string> At(List<(Dictionary<string, string> Row, double Latitude, double Altitude)> truth, double latitudeDeg, double altitudeKm)
    {
        // Exposures are 3.7° apart, rows 10 km.
        var (row, latitude, altitude) = truth.Where(t => Math.Abs(t.Altitude - altitudeKm) < 0.5).MinBy(t => Math.Abs(t.Latitude - latitudeDeg));
        Assert.InRange(latitude - latitudeDeg, -0.01, 0.01);
        Assert.InRange(altitude - altitudeKm, -0.05, 0.05);
        return row;
    }

    private static double Quantile(IEnumerable<double> errors, double share)
    {
        double[] sorted = [.. errors.Select(Math.Abs).Order()];
        return sorted[(int)(share * (sorted.Length - 1))];
    }

    private static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return sorted.Length == 0 ? double.NaN : sorted[sorted.Length / 2];
    }
}
