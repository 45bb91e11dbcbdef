using Phasekeeper.Demo.Atmosphere;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.ForwardModel;

namespace Phasekeeper.Demo.Tests.ForwardModel;

public class AtmosphereTests
{
    private static readonly WindField Winds = new(20310410);

    private static (double U, double V) At(double hours, double latDeg, double lonDeg, double altitudeKm) => At(Moment(hours), latDeg, lonDeg, altitudeKm);

    private static WindMoment Moment(double hours)
    {
        var time = Generators.Quiet.Scenario.At(hours);
        var (sin, cos) = Math.SinCos(EarthModel.SiderealRad(time));
        var sun = EarthModel.ToEarthFixed(EarthModel.SunDirection(time), sin, cos);
        return Winds.At(hours * 3600, Math.Atan2(sun.Y, sun.X));
    }

    private static (double U, double V) At(WindMoment moment, double latDeg, double lonDeg, double altitudeKm)
    {
        var (sl, cl) = Math.SinCos(latDeg * Math.PI / 180);
        var (so, co) = Math.SinCos(lonDeg * Math.PI / 180);
        return Winds.Evaluate(moment, new GeodeticPoint(sl, cl, so, co, altitudeKm));
    }

    [Fact]
    public void Winds_reach_130_commonly_220_at_times_and_never_much_more()
    {
        var largest = new List<double>();
        for (var hours = 0.0; hours < 720; hours += 7.3)
        {
            var moment = Moment(hours);
            for (var lon = -180; lon < 180; lon += 45)
                for (var lat = -50; lat <= 50; lat += 25)
                {
                    var best = 0.0;
                    for (var z = 85; z <= 300; z += 5)
                    {
                        var (u, v) = At(moment, lat, lon, z);
                        best = Math.Max(best, Math.Sqrt(u * u + v * v));
                    }
                    largest.Add(best);
                }
        }
        Assert.InRange(largest.Count(x => x > 130) / (double)largest.Count, 0.1, 0.6);
        Assert.Contains(largest, x => x > 200);
        Assert.All(largest, x => Assert.InRange(x, 0, 290));
    }

    [Fact]
    public void Winds_turn_from_strongly_eastward_to_strongly_westward_within_thirty_kilometres()
    {
        var steepest = 0.0;
        for (var hours = 0.0; hours < 240; hours += 5.1)
        {
            var moment = Moment(hours);
            for (var lon = -180; lon < 180; lon += 30)
                for (var z = 90; z <= 110; z += 4)
                    for (var dz = 8; dz <= 30; dz += 4)
                        steepest = Math.Max(steepest, Math.Min(At(moment, 15, lon, z).U, -At(moment, 15, lon, z + dz).U));
        }
        Assert.True(steepest > 100, $"largest turn is ±{steepest:F0} m/s");
    }

    [Fact]
    public void Winds_at_one_place_differ_from_orbit_to_orbit_and_from_day_to_day()
    {
        double Rms(double stepHours) => Math.Sqrt(Enumerable.Range(0, 25).Average(i => Math.Pow(At(24 * i + stepHours, 20, 40, 105).U - At(24 * i, 20, 40, 105).U, 2)));
        Assert.InRange(Rms(1.6), 8, 120);
        Assert.InRange(Rms(24), 8, 120);
    }

    [Fact]
    public void The_green_layer_lies_near_97_km_at_night_and_day_adds_one_near_165_and_red_one_near_240()
    {
        var moment = new Airglow(1).At(1000);
        double PeakKm(Func<double, double> of, double low, double high) => Enumerable.Range((int)low, (int)(high - low)).MaxBy(z => of(z));
        (double Green, double Red) Light(double z, double sunCosine, double hour) => Airglow.Evaluate(moment, new GeodeticPoint(0, 1, 0, 1, z), sunCosine, hour);
        Assert.InRange(PeakKm(z => Light(z, -0.8, 11).Green, 80, 320), 95, 99);
        Assert.InRange(PeakKm(z => Light(z, 0.8, 1).Green, 130, 320), 160, 170);
        Assert.InRange(PeakKm(z => Light(z, 0.8, 1).Red, 130, 320), 233, 245);
        Assert.InRange(PeakKm(z => Light(z, -0.8, 11).Red, 130, 320), 255, 268);
        Assert.True(Light(240, 0.8, 1).Red > 3 * Light(260, -0.8, 11).Red);
        Assert.True(Light(260, -0.8, 7).Red > 1.5 * Light(260, -0.8, -7).Red, "red fades through the night");
    }

    [Fact]
    public void A_line_of_sight_through_a_wind_that_is_the_same_everywhere_has_its_phase()
    {
        // The moments C0…C2 against the exact sum for one emitting place: at the ends of a row (δ = 0.1 κ0) and 220 m/s.
        var optics = Generators.Quiet.Instrument.Optics[0];
        const double wind = 220;
        var delta = 95.5 * optics.KappaStep;
        var (s0, c0) = Math.SinCos(-optics.Kappa * wind);
        double re = c0 * (1 - 0.5 * delta * delta * wind * wind) + s0 * delta * wind, im = s0 * (1 - 0.5 * delta * delta * wind * wind) - c0 * delta * wind;
        var (s, c) = Math.SinCos(-(optics.Kappa + delta) * wind);
        Assert.Equal(c, re, 2e-5);
        Assert.Equal(s, im, 2e-5);
    }

    [Fact]
    public void Rows_look_at_heights_from_85_to_300_km_and_the_motion_is_some_4800_metres_per_second()
    {
        var g = Generators.Quiet;
        var limb = new LimbView(g.Scenario.At(30), 30 * 3600, g.Orbit, Winds, new Airglow(1));
        double[] heights = new double[Tern.Rows];
        for (var row = 0; row < Tern.Rows; row++)
        {
            var fore = limb.Follow(45, 0, g.Instrument.Model.RowDepressionDeg[row], 1.8e-3, 1.6e-3);
            var aft = limb.Follow(135, 0, g.Instrument.Model.RowDepressionDeg[row], 1.8e-3, 1.6e-3);
            heights[row] = fore.Tangent.AltitudeKm;
            Assert.InRange(fore.Tangent.AltitudeKm - Tern.TangentKm[row], -9, 12);
            Assert.InRange(fore.MotionMs, -5600, -4200);
            Assert.InRange(aft.MotionMs, 4200, 5600);
        }
        Assert.Equal(heights.Order(), heights);
    }
}
