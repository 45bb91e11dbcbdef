using System.Globalization;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Limb;

public class LookGeometryTests
{
    private const double OneCentimetre = 0.01, TenthOfAMillimetre = 1e-4, OneMicrometrePerSecond = 1e-6;
    private const double Degree = Math.PI / 180;

    private static readonly OrbitState State = new(new Vec3(6_953_137, 0, 0), new Vec3(0, 7571 * Math.Cos(0.5), 7571 * Math.Sin(0.5)));
    private static readonly Instant Time = Instant.FromUtc(2031, 3, 21, 21);

    // scipy minimiser on PROJ heights and root of the slope on pyerfa (tests/reference/make/limb.py).
    [Fact]
    public void Tangent_points_meet_the_reference_rays()
    {
        foreach (var row in ReferenceFiles.ReadCsv("limb_tangent_wgs84.csv"))
        {
            double At(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            Vec3 Vector(string a, string b) => new(At("x" + a), At("y" + a), At("z" + b));
            var look = LookGeometry.Along(Vector("_sat_ecef_km", "_sat_ecef_km") * 1e3, default, new Vec3(At("ux_los_ecef"), At("uy_los_ecef"), At("uz_los_ecef")));
            Assert.Equal(LookOutcome.Tangent, look.Outcome);
            Assert.Equal(At("tangent_height_km") * 1e3, look.TangentAltitudeM, TenthOfAMillimetre);
            Assert.Equal(At("tangent_lat_geodetic_deg"), look.TangentLatitudeRad / Degree, 1e-9);
            Assert.Equal(At("tangent_lon_deg"), look.TangentLongitudeRad / Degree, 1e-9);
            Assert.Equal(At("range_to_tangent_km") * 1e3, look.RangeM, OneCentimetre);
            Assert.Equal(0, (look.TangentEcefM - Vector("_tangent_ecef_km", "_tangent_ecef_km") * 1e3).Length, OneCentimetre);
        }
    }

    // Computed two ways in tests/reference/make/limb.py; rotation 7.292115e-5 rad/s (WGS 84).
    [Fact]
    public void Motion_terms_meet_the_reference_rays()
    {
        foreach (var row in ReferenceFiles.ReadCsv("limb_line_of_sight_velocity.csv"))
        {
            double At(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            var velocity = new Vec3(At("vx_inertial_on_ecef_axes_km_s"), At("vy_inertial_on_ecef_axes_km_s"), At("vz_inertial_on_ecef_axes_km_s")) * 1e3;
            var look = LookGeometry.Along(new Vec3(At("x_sat_ecef_km"), At("y_sat_ecef_km"), At("z_sat_ecef_km")) * 1e3, velocity,
                new Vec3(At("ux_los_ecef"), At("uy_los_ecef"), At("uz_los_ecef")));
            Assert.Equal(At("inertial_velocity_along_los_km_s") * 1e3, look.SatelliteSpeedMs, OneMicrometrePerSecond);
            Assert.Equal(At("earth_rotation_at_tangent_along_los_km_s") * 1e3, look.EarthRotationMs, OneMicrometrePerSecond);
            Assert.Equal(-At("closing_speed_on_corotating_air_km_s") * 1e3, look.MotionMs, OneMicrometrePerSecond);
            Assert.Equal(0, Math.IEEERemainder(At("los_azimuth_at_tangent_deg") - look.AzimuthRad / Degree, 360), 1e-7);
        }
    }

    [Fact]
    public void Nominal_axes_point_along_the_track_to_the_right_and_down()
    {
        var body = BodyAttitude.Nominal(State);
        Assert.Equal(0, (body.ZTeme - new Vec3(-1, 0, 0)).Length, 1e-15);
        // Circular velocity: x along it; y = −(r × v) is opposite to the orbit's normal, to the right of the track.
        Assert.Equal(0, (body.XTeme - State.VelocityTemeMs.Normalized()).Length, 1e-15);
        Assert.Equal(0, (Vec3.Cross(body.XTeme, body.YTeme) - body.ZTeme).Length, 1e-15);
        // A positive azimuth turns the look to the left of the track, against y.
        Assert.True(Vec3.Dot(body.LookTeme(90 * Degree, 0), body.YTeme) < -0.999);
    }

    [Fact]
    public void A_quaternion_gives_the_same_look_as_the_axes_it_stands_for()
    {
        // Nominal axes of a state over the x axis moving along y: x_body = y, y_body = −z, z_body = −x: turning TEME by −120° about (1, 1, −1)/√3 … as matrix.
        var nominal = BodyAttitude.Nominal(new OrbitState(new Vec3(7e6, 0, 0), new Vec3(0, 7500, 0)));
        Assert.Equal(new Vec3(0, 1, 0), nominal.XTeme);
        var q = new Quaternion(0.5, -0.5, -0.5, 0.5);
        var turned = BodyAttitude.FromQuaternion(q);
        Assert.Equal(0, (turned.XTeme - nominal.XTeme).Length + (turned.YTeme - nominal.YTeme).Length + (turned.ZTeme - nominal.ZTeme).Length, 1e-15);
    }

    [Fact]
    public void A_look_above_the_horizontal_rises_and_its_lowest_point_is_the_satellite()
    {
        var look = LookGeometry.Compute(Time, State, null, 45, -5);
        Assert.Equal(LookOutcome.Rises, look.Outcome);
        Assert.Equal(0, look.RangeM);
        Assert.Equal(575_000, look.TangentAltitudeM, 1e-3);
        // The Earth-rotation term is the same at every point of a ray, so the motion stays valid.
        Assert.Equal(Vec3.Dot(Vec3.Cross(new(0, 0, Wgs84.RotationRateRadPerS), look.SatelliteEcefM), look.DirectionEcef), look.EarthRotationMs, 1e-9);
    }

    [Fact]
    public void A_steep_look_meets_the_earth()
    {
        var look = LookGeometry.Compute(Time, State, null, 45, 40);
        Assert.Equal(LookOutcome.MeetsEarth, look.Outcome);
        Assert.Equal(0, look.TangentAltitudeM);
        Assert.Equal(0, Wgs84.ToGeodetic(look.TangentEcefM).AltitudeM, 1e-6);
        Assert.True(look.RangeM is > 575e3 and < 2000e3);
    }

    [Fact]
    public void Looking_straight_down_is_a_result_too()
    {
        var look = LookGeometry.Compute(Time, State, null, 0, 90);
        Assert.Equal(LookOutcome.MeetsEarth, look.Outcome);
        Assert.Equal(575_000, look.RangeM, 1e-3);
        Assert.Equal(0, look.MotionMs, 1e-9);
    }
}
