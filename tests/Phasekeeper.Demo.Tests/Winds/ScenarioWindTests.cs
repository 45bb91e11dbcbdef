using System.Globalization;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Winds;
using Xunit.Abstractions;

namespace Phasekeeper.Demo.Tests.Winds;

/// <summary>
/// Winds of the demo scenario against what was put in, from packets on: counts with noise and spikes, a laboratory's calibration errors, lamp and fiducials, telemetry temperatures. Figures by
/// altitude, light and line: <see cref="WindBarTests"/>; what each correction is worth: benchmark command <c>wind-accuracy</c>.
/// </summary>
[Collection(QuietDayGroup.Name)]
public class ScenarioWindTests(QuietDay day, ITestOutputHelper output)
{
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
                Assert.InRange(swing, 500, 1000);
                Assert.InRange(WindFigures.Rms(left), 0, 1);
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
