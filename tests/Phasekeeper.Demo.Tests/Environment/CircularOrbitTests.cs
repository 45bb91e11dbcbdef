using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Tests.Environment;

public class CircularOrbitTests
{
    private static readonly Instant Start = DemoScenario.Default.Start;
    private static readonly CircularOrbit Orbit = new(Start);

    [Fact]
    public void The_satellite_goes_round_in_about_96_minutes_and_15_times_a_day()
    {
        Assert.InRange(Orbit.PeriodS / 60, 95.5, 96.5);
        Assert.InRange(86400 / Orbit.PeriodS, 14.9, 15.1);
    }

    [Fact]
    public void The_velocity_is_the_derivative_of_the_position()
    {
        for (var i = 0; i < 50; i++)
        {
            var t = Start.AddSeconds(i * 40_001.0);
            var difference = (Orbit.StateAt(t.AddSeconds(0.5)).PositionTemeM - Orbit.StateAt(t.AddSeconds(-0.5)).PositionTemeM) - Orbit.StateAt(t).VelocityTemeMs;
            // The third derivative, 7,600 m/s · n² / 24, is 0.4 mm/s.
            Assert.InRange(difference.Length, 0, 0.001);
        }
    }

    [Fact]
    public void Nodes_are_northward_crossings_of_the_equator()
    {
        var t = Start;
        for (var i = 0; i < 30; i++)
        {
            var node = Orbit.NodeAtOrBefore(t);
            Assert.InRange(t - node, 0, Orbit.PeriodS);
            Assert.InRange(Orbit.StateAt(node).PositionTemeM.Z, -0.01, 0.01);
            Assert.True(Orbit.StateAt(node).VelocityTemeMs.Z > 0);
            Assert.Equal(node, Orbit.NodeAtOrBefore(node));
            t = t.AddSeconds(3333);
        }
    }

    [Fact]
    public void The_beta_angle_sweeps_both_signs_within_thirty_days_and_comes_back_after_about_62()
    {
        double Beta(double day) => Orbit.BetaRad(Start.AddSeconds(day * 86400)) * 180 / Math.PI;
        Assert.InRange(Beta(0), 45, 52);
        Assert.InRange(Beta(30), -40, -25);
        Assert.InRange(Beta(62.5), 50, 66);
    }

    [Fact]
    public void A_quarter_to_two_fifths_of_an_orbit_lies_in_shadow()
    {
        for (var day = 0; day < 30; day += 3)
        {
            var dark = 0;
            for (var s = 0; s < 5760; s += 10)
            {
                var t = Start.AddSeconds(day * 86400 + s);
                if (CircularOrbit.SunlitShare(Orbit.StateAt(t).PositionTemeM, EarthModel.SunDirection(t)) < 0.5) dark++;
            }
            Assert.InRange(dark / 576.0, 0.25, 0.40);
        }
    }

    [Fact]
    public void Sidereal_time_and_the_sun_agree_with_published_values()
    {
        // Meeus, Astronomical Algorithms (2nd ed.), example 12.b: 1987-04-10 19:21:00 UT, mean sidereal time 128.7378734°.
        Assert.Equal(128.7378734, EarthModel.SiderealRad(Instant.FromUtc(1987, 4, 10, 19, 21)) * 180 / Math.PI, 6);
        // Same book, example 25.a: 1992-10-13 0h TD, true longitude 199.90988°, right ascension 198.38083°, declination −7.78507°.
        var sun = EarthModel.SunDirection(Instant.FromUtc(1992, 10, 12, 23, 59, 0.8));
        Assert.Equal(-7.785, Math.Asin(sun.Z) * 180 / Math.PI, 0.012);
        Assert.Equal(198.381 - 360, Math.Atan2(sun.Y, sun.X) * 180 / Math.PI, 0.015);
    }

    [Fact]
    public void Geodetic_coordinates_turn_back_into_the_place_they_came_from()
    {
        foreach (var (lat, lon, h) in new[] { (0.0, 10.0, 0.0), (45.0, -120.0, 90.0), (-50.0, 179.0, 300.0), (80.0, 0.0, 565.0) })
        {
            const double e2 = EarthModel.Flattening * (2 - EarthModel.Flattening);
            var (sl, cl) = Math.SinCos(lat * Math.PI / 180);
            var (so, co) = Math.SinCos(lon * Math.PI / 180);
            var n = EarthModel.EquatorialRadiusM / Math.Sqrt(1 - e2 * sl * sl);
            var g = EarthModel.Geodetic(new Vec3((n + h * 1000) * cl * co, (n + h * 1000) * cl * so, (n * (1 - e2) + h * 1000) * sl));
            Assert.Equal(lat, g.LatitudeDeg, 1e-8);
            Assert.Equal(lon, g.LongitudeDeg, 1e-9);
            Assert.Equal(h, g.AltitudeKm, 1e-5);
        }
    }
}
