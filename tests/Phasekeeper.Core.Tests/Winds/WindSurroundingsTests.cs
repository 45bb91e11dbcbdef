using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Core.Tests.Winds;

/// <summary>Reasons from what stands around a look, at moments made for it: a satellite at 565 km that looks where the case wants.</summary>
public class WindSurroundingsTests
{
    private static readonly Instant Time = Instant.FromUtc(2031, 3, 20, 12, 0, 0);
    private const double Radius = 6_378_137.0 + 565_000;

    [Theory]
    [InlineData(10, true)]
    [InlineData(14.9, true)]
    [InlineData(15.1, false)]
    [InlineData(60, false)]
    public void The_sun_counts_within_its_angle_of_the_nearest_row(double angleDeg, bool expected)
    {
        var sun = Ecef(SunPosition.At(Time));
        var axis = Vec3.Cross(sun, new(0, 0, 1)).Normalized();
        // The satellite stands across the Sun's direction, so that the Earth hides nothing.
        var satellite = Radius * axis;
        LookSample Look(double deg) => Sample(satellite, Math.Cos(deg * Math.PI / 180) * sun + Math.Sin(deg * Math.PI / 180) * Vec3.Cross(axis, sun).Normalized());
        var reasons = WindSurroundings.OfView(Time, [Look(angleDeg + 5), Look(angleDeg)], new AvoidanceAngles(15, 0));
        Assert.Equal(expected, reasons.Any(r => r.Word == WindReasonCatalog.Sun));
        Assert.DoesNotContain(reasons, r => r.Word == WindReasonCatalog.Moon);
    }

    [Fact]
    public void A_sun_behind_the_earth_does_no_harm()
    {
        var sun = Ecef(SunPosition.At(Time));
        var satellite = -Radius * sun;
        Assert.DoesNotContain(WindSurroundings.OfView(Time, [Sample(satellite, sun)], new AvoidanceAngles(15, 0)), r => r.Word == WindReasonCatalog.Sun);
    }

    [Fact]
    public void The_moon_counts_as_seen_from_the_satellite()
    {
        var moon = MoonPosition.At(Time);
        var direction = Ecef(moon);
        var satellite = Radius * Vec3.Cross(direction, new(0, 0, 1)).Normalized();
        var apparent = (moon.DistanceM * direction - satellite).Normalized();
        // Parallax of a satellite a quarter round the Earth: about a degree.
        Assert.InRange(Math.Acos(Vec3.Dot(apparent, direction)) * 180 / Math.PI, 0.8, 1.2);
        Assert.Contains(WindSurroundings.OfView(Time, [Sample(satellite, apparent)], new AvoidanceAngles(0, 0.1)), r => r.Word == WindReasonCatalog.Moon);
        Assert.DoesNotContain(WindSurroundings.OfView(Time, [Sample(satellite, direction)], new AvoidanceAngles(0, 0.1)), r => r.Word == WindReasonCatalog.Moon);
    }

    [Theory]
    [InlineData(-25, -45, true)]
    [InlineData(50, 10, false)]
    public void The_south_atlantic_counts_by_the_satellites_place(double latitudeDeg, double longitudeDeg, bool expected)
    {
        var satellite = Wgs84.ToEcef(new(latitudeDeg * Math.PI / 180, longitudeDeg * Math.PI / 180, 565_000));
        Assert.Equal(expected, WindSurroundings.OfView(Time, [Sample(satellite, -satellite.Normalized())], new AvoidanceAngles(0, 0)).Any(r => r.Word == WindReasonCatalog.SouthAtlantic));
    }

    [Theory]
    [InlineData(0, true)]      // tangent point on the edge of the shadow
    [InlineData(3, true)]      // 340 km from it along the ray
    [InlineData(8, false)]     // 900 km: beyond the ray's half
    [InlineData(-60, false)]   // deep in sunlight
    public void The_edge_of_the_shadow_counts_along_the_ray(double beyondDeg, bool expected)
    {
        var sun = Ecef(SunPosition.At(Time));
        var across = Vec3.Cross(sun, new(0, 0, 1)).Normalized();
        // A point at 100 km on the umbra's edge lies behind the terminator by the dip of the horizon, acos(R/(R+h)) = 10.1°; the ray runs away from the Sun.
        var edge = Math.Acos(6_378_137.0 / (6_378_137.0 + 100_000)) + beyondDeg * Math.PI / 180;
        var up = Math.Cos(edge) * across - Math.Sin(edge) * sun;
        var along = -(Math.Sin(edge) * across + Math.Cos(edge) * sun);
        var tangent = (6_378_137.0 + 100_000) * up;
        var look = Sample(tangent - 2_000_000 * along, along) with { TangentEcefM = tangent };
        Assert.Equal(expected, WindSurroundings.OfRow(Time, look)?.Word == WindReasonCatalog.ShadowTransition);
        Assert.Null(WindSurroundings.OfRow(Time, look with { Outcome = LookOutcome.MeetsEarth }));
    }

    private static Vec3 Ecef(CelestialPosition body) => EarthRotation.TemeToEcef(Time) * body.DirectionTeme;

    private static LookSample Sample(Vec3 satellite, Vec3 direction) => new()
    {
        Outcome = LookOutcome.Tangent,
        DirectionEcef = direction.Normalized(),
        SatelliteEcefM = satellite,
        TangentEcefM = satellite,
        TangentLatitudeRad = 0,
        TangentLongitudeRad = 0,
        TangentAltitudeM = 100_000,
        AzimuthRad = 0,
        RangeM = 0,
        SatelliteSpeedMs = 0,
        EarthRotationMs = 0,
    };
}
