using System.Globalization;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Tests.Fringes;
using Phasekeeper.Core.Winds;
using Phasekeeper.Tests;
using Xunit.Abstractions;

namespace Phasekeeper.Core.Tests.Winds;

/// <summary>
/// Winds of the example mission (an independent simulator with structure along and across the track) against its truth: exact drift and shift, phases with the noise of their signal.
/// Skipped where the mission is not at hand. The error is against the point truth, so it holds the resolution; medians are those of good winds.
/// </summary>
public class ExampleMissionWindTests(ITestOutputHelper output)
{
    private const double LargestErrorMs = 5, LargestMedianMs = 0.7;

    private sealed record Point(LosWind Wind, WindTruth Truth, string Line);

    [SharedFolderFact("example-mission")]
    public void Winds_of_an_independent_simulator_are_within_five_metres_per_second_and_unbiased()
    {
        var points = new List<Point>();
        for (ulong seed = 1; seed <= 2; seed++)
            points.AddRange(Retrieve(seed).SelectMany(p => p.Profile.Rows.Select((w, r) => new Point(w, p.Scene.Truth[r], p.Scene.Input.Line.Id))));
        foreach (var (line, low, high, bar) in new[] { ("green", 80, 110, true), ("green", 110, 200, true), ("green", 200, 330, true), ("red", 80, 150, false), ("red", 150, 200, false), ("red", 200, 330, true) })
        {
            var part = points.Where(p => p.Line == line && p.Truth.AltitudeKm >= low && p.Truth.AltitudeKm < high).ToList();
            double[] errors = [.. part.Select(p => p.Wind.WindMs - p.Truth.LosMs)];
            var scaled = part.Select(p => (p.Wind.WindMs - p.Truth.LosMs) / p.Wind.SigmaMs);
            double error = Quantile(errors, 0.6827), median = RobustStatistics.Median([.. part.Where(p => p.Wind.Quality == WindQuality.Good).Select(p => p.Wind.WindMs - p.Truth.LosMs).DefaultIfEmpty(double.NaN)]);
            double Middle(Func<LosWind, double> f) => RobustStatistics.Median([.. part.Select(p => f(p.Wind))]);
            output.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"{line,-5} {low}–{high} km: 68 % {error:0.00} median {RobustStatistics.Median(errors):0.00} (good winds {median:0.00}) largest {errors.Max(Math.Abs):0} σ {Middle(w => w.SigmaMs):0.0} photon {Middle(w => w.Budget.PhotonMs):0.0} inversion {Middle(w => w.Budget.InversionMs):0.0} kernel {Middle(w => w.KernelDiagonal):0.00} resolution {Middle(w => w.VerticalResolutionKm):0.0} km; |error|/σ 68 % {Quantile(scaled, 0.6827):0.00} rms {Math.Sqrt(scaled.Average(x => x * x)):0.00}; good {part.Count(p => p.Wind.Quality == WindQuality.Good) / (double)part.Count:0.00} bad {part.Count(p => p.Wind.Quality == WindQuality.Bad) / (double)part.Count:0.00}"));
            if (bar)
            {
                Assert.True(error <= LargestErrorMs, $"{line} {low}–{high} km: {error:0.00} m/s");
                Assert.True(Math.Abs(median) < LargestMedianMs, $"{line} {low}–{high} km: median {median:0.00} m/s");
            }
            else if (high == 150)
            {
                // Red below the layer: no wild number passes for a wind.
                var good = part.Where(p => p.Wind.Quality == WindQuality.Good).ToList();
                Assert.True(good.Count < 0.15 * part.Count, $"{good.Count} of {part.Count}");
                Assert.True(good.Count == 0 || Quantile(good.Select(p => (p.Wind.WindMs - p.Truth.LosMs) / p.Wind.SigmaMs), 0.6827) < 1.1);
                Assert.All(part, p => Assert.True(Math.Abs(p.Wind.WindMs) < 300));
            }
        }
    }

    [SharedFolderFact("example-mission")]
    public void Vectors_of_an_independent_simulator_meet_its_eastward_and_northward_winds()
    {
        var profiles = Retrieve(1);
        foreach (var line in new[] { "green", "red" })
        {
            List<LosWindProfile> Of(string view) => [.. profiles.Where(p => p.Profile.View == view && p.Profile.Line == line).Select(p => p.Profile)];
            var vectors = WindVectorMatcher.Match(Of("L"), Of("T"));
            var truth = profiles.Where(p => p.Profile.View == "T" && p.Profile.Line == line).ToDictionary(p => p.Profile.Exposure, p => p.Scene.Truth);
            var good = vectors.Where(v => v.Quality == WindQuality.Good).ToList();
            Assert.True(good.Count > 200, $"{good.Count} vectors");
            double[] east = [.. good.Select(v => v.EastwardMs - truth[v.SecondExposure][v.Row].EastMs)];
            double[] north = [.. good.Select(v => v.NorthwardMs - truth[v.SecondExposure][v.Row].NorthMs)];
            var scaled = good.Select((v, i) => east[i] / v.EastwardSigmaMs).Concat(good.Select((v, i) => north[i] / v.NorthwardSigmaMs));
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{line}: {vectors.Count} vectors, {good.Count} good; east 68 % {Quantile(east, 0.6827):0.0} median {RobustStatistics.Median(east):0.0}; north {Quantile(north, 0.6827):0.0} median {RobustStatistics.Median(north):0.0}; |error|/σ 68 % {Quantile(scaled, 0.6827):0.00}; between looks {vectors.Min(v => v.SecondsBetweenLooks):0}–{vectors.Max(v => v.SecondsBetweenLooks):0} s; apart {vectors.Max(v => v.SeparationKm):0} km"));
            Assert.InRange(Quantile(east, 0.6827), 0, 7);
            Assert.InRange(Quantile(north, 0.6827), 0, 7);
            Assert.InRange(Quantile(scaled, 0.6827), 0.5, 1.1);
            Assert.True(vectors.Count > 600, $"{vectors.Count} vectors");
            Assert.All(vectors, v => Assert.InRange(v.SecondsBetweenLooks, 60, 900));
        }
    }

    private static List<(ExampleScene Scene, LosWindProfile Profile)> Retrieve(ulong seed) =>
        [.. ExampleMissionWinds.Scenes(seed, true).GroupBy(s => (s.Input.Line.Id, s.Input.Fringe.View)).SelectMany(g =>
        {
            var scenes = g.OrderBy(s => s.Input.Fringe.Time.TaiNanoseconds).ToList();
            var alone = scenes.Select(s => LosWindRetrieval.Retrieve(s.Input, s.Paths)).ToList();
            return scenes.Select((s, i) => (s, LosWindRetrieval.Retrieve(s.Input.WithNeighbours(alone.ElementAtOrDefault(i - 1), alone[i], alone.ElementAtOrDefault(i + 1)), s.Paths)));
        })];

    internal static double Quantile(IEnumerable<double> errors, double share)
    {
        double[] sorted = [.. errors.Select(Math.Abs).Order()];
        return sorted[(int)(share * (sorted.Length - 1))];
    }
}
