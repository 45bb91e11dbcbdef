using System.Globalization;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Winds;
using Xunit.Abstractions;

namespace Phasekeeper.Demo.Tests.Winds;

/// <summary>A day of the demo without events, read once for all tests of this folder.</summary>
public sealed class QuietDay
{
    public QuietDay()
    {
        Mission = new ScenarioMission(Generators.Quiet, 24, 48);
        Winds = new ScenarioWinds(Mission, Corrections.All);
        Profiles = Winds.Retrieve();
        Truth = new ScenarioTruth(Generators.Quiet);
        Errors = WindComparison.Compare(Profiles, Truth);
    }

    public ScenarioMission Mission { get; }
    public ScenarioWinds Winds { get; }
    public IReadOnlyList<LosWindProfile> Profiles { get; }
    public ScenarioTruth Truth { get; }
    public IReadOnlyList<WindError> Errors { get; }
}

/// <summary>
/// Winds of the demo scenario against what was put in, from packets on: counts with noise and spikes, a laboratory's calibration errors, lamp and fiducials, telemetry temperatures. Figures by
/// altitude, light and line, and what each correction is worth: benchmark command <c>wind-accuracy</c>.
/// </summary>
public class ScenarioWindTests(QuietDay day, ITestOutputHelper output) : IClassFixture<QuietDay>
{
    // The bar: 0.95 to 1.05, and what a day's winds can tell of it.
    private const double Few = 0.05;
    private const double LargestBiasMs = 0.5;

    [Fact]
    public void Lamp_and_thermal_correction_leave_less_than_a_metre_per_second_of_more_than_five_hundred()
    {
        Assert.InRange(day.Winds.Analyses.Count, 8, 12);
        foreach (var orbit in day.Winds.Analyses)
            foreach (var channel in orbit.Channels)
            {
                var optics = Generators.Quiet.Instrument.Optics.Single(o => o.View.Id == channel.View && o.Line.Id == channel.Line.Id);
                List<double> drift = [], left = [];
                foreach (var scene in orbit.Exposures(ExposureKind.Scene, channel.View, channel.Line.Id))
                {
                    Assert.True(orbit.Drift(channel).TryGet(scene.Time, out var estimate));
                    // What the correction sees is drift and image shift together: an error that both share cancels.
                    var perSample = 2 * Math.PI * channel.Line.Cycles / day.Mission.Instrument.Samples;
                    var truth = Generators.Quiet.State.OpticalDriftRad(optics, scene.Time);
                    var shift = Generators.Quiet.State.ImageShiftSamples(optics.Index / 2, scene.Time);
                    drift.Add(truth / optics.Kappa);
                    left.Add((estimate.DriftRad - perSample * orbit.Shift(channel.View).At(scene.Time).ShiftSamples - truth + perSample * shift) / optics.Kappa);
                }
                var swing = drift.Max() - drift.Min();
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{channel.View} {channel.Line.Id}: uncorrected {drift.Min():0} to {drift.Max():0} m/s (swing {swing:0}, rms {WindFigures.Rms(drift):0}); left {WindFigures.Rms(left):0.00} m/s rms"));
                Assert.InRange(swing, 450, 1000);
                Assert.InRange(WindFigures.Rms(left), 0, 1);
            }
    }

    [Fact]
    public void Line_of_sight_winds_are_unbiased_and_their_errors_are_as_large_as_reported()
    {
        var good = day.Errors.Where(e => e.Wind.Quality == WindQuality.Good).ToArray();
        foreach (var (line, low, high) in WindComparison.Bands)
            foreach (var light in new[] { Sunlight.Day, Sunlight.Night })
            {
                var cell = good.Where(e => e.Line == line && e.Light == light && e.Wind.AltitudeKm >= low && e.Wind.AltitudeKm < high).ToArray();
                if (cell.Length < 300) continue; // no statement: the quality says that there is too little light
                var f = WindFigures.Of(cell);
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{line} {light} {low}–{high} km: {f}"));
                // Where the layer is thin (valley between the layers, foot of the red one) a cell's mean is known to a few tenths only.
                Assert.InRange(f.BiasMs, -LargestBiasMs - 2 * f.BiasSigmaMs, LargestBiasMs + 2 * f.BiasSigmaMs);
                if (f.SigmaMs < 5) Assert.InRange(f.BiasMs, -LargestBiasMs, LargestBiasMs);
                var cellFew = Few + 2 * WindFigures.RatioSigma(cell);
                Assert.InRange(f.KernelRatio, 1 - cellFew, 1 + cellFew);
            }
        foreach (var group in good.Where(e => e.Light != Sunlight.Twilight).GroupBy(e => (e.Line, e.Light)))
        {
            var f = WindFigures.Of([.. group]);
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{group.Key}: {f}"));
            var few = Few + WindFigures.RatioSigma([.. group]);
            Assert.InRange(f.KernelRatio, 1 - few, 1 + few);
        }
    }

    [Fact]
    public void Where_the_terminator_or_darkness_spoils_a_wind_its_quality_says_so()
    {
        var red = day.Errors.Where(e => e.Line == "red" && e.Wind.AltitudeKm < 150).ToArray();
        Assert.InRange(red.Count(e => e.Wind.Quality == WindQuality.Good), 0, 0.01 * red.Length);
        var wild = day.Errors.Where(e => Math.Abs(e.PointMs) > 5 * e.Wind.SigmaMs).ToArray();
        output.WriteLine($"{wild.Length} winds off by more than 5 σ, {wild.Count(e => e.Wind.Quality == WindQuality.Good)} of them good, of {day.Errors.Count}");
        Assert.InRange(wild.Count(e => e.Wind.Quality == WindQuality.Good), 0, 0.002 * day.Errors.Count);
    }

    [Fact]
    public void Vectors_meet_the_eastward_and_northward_winds_with_the_same_honesty()
    {
        foreach (var line in new[] { "green", "red" })
        {
            LosWindProfile[] Of(string view) => [.. day.Profiles.Where(p => p.View == view && p.Line == line)];
            var times = Of("A").ToDictionary(p => p.Exposure, p => p.Time);
            var good = WindVectorMatcher.Match(Of("F"), Of("A")).Where(v => v.Quality == WindQuality.Good).ToArray();
            var truths = good.Select(v => v.SecondExposure).Distinct().AsParallel().Select(e => (e, day.Truth.At(times[e], "A"))).ToArray().ToDictionary(t => t.e, t => t.Item2);
            var light = good.Where(v => WindComparison.LightOf(truths[v.SecondExposure].SunCosine(v.Row)) != Sunlight.Twilight).ToArray();
            Assert.True(light.Length > 500, $"{light.Length} vectors of {line}");
            var scaled = new List<double>();
            double east = 0, north = 0;
            foreach (var v in light)
            {
                var truth = truths[v.SecondExposure].Rows[v.Row];
                double e = v.EastwardMs - truth.EastwardMs, n = v.NorthwardMs - truth.NorthwardMs;
                (east, north) = (east + e / light.Length, north + n / light.Length);
                scaled.Add(e / v.EastwardSigmaMs);
                scaled.Add(n / v.NorthwardSigmaMs);
            }
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{line}: {light.Length} good vectors of {good.Length}; mean error {east:0.00} m/s east, {north:0.00} m/s north; error/σ rms {WindFigures.Rms(scaled):0.00}, 68 % {WindFigures.Quantile(scaled.Select(Math.Abs), 0.6827):0.00}"));
            Assert.InRange(east, -1, 1);
            Assert.InRange(north, -1, 1);
            Assert.InRange(WindFigures.Rms(scaled), 0.6, 1.1); // below 1 where the point error is smaller than the prior allows for
        }
    }

    [Fact]
    public void The_satellites_motion_is_right_to_a_tenth_of_a_metre_per_second()
    {
        // Against the scenario's own geometry, which shares no code with the product's.
        const double tenth = 0.1;
        foreach (var profile in day.Profiles.Where(p => p.Line == "green" && p.Exposure % 7 == 0))
        {
            var looks = day.Mission.Looks(profile.Time, profile.View);
            var truth = day.Truth.At(profile.Time, profile.View);
            for (var r = 0; r < looks.Length; r++)
            {
                Assert.InRange(looks[r].MotionMs - truth.Rows[r].MotionMs, -tenth, tenth);
                Assert.InRange(Math.Abs(looks[r].SatelliteSpeedMs), 4000, 8000);
            }
        }
    }
}
