using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Demo.Environment;

/// <summary>
/// The Earth as the scenario sees it: rotation by GMST-1982 with UT1 = UTC and no polar motion (TEME to PEF), and the WGS84
/// ellipsoid. Written apart from the product's own geometry, so that a mistake in one shows against the other.
/// </summary>
public static class EarthModel
{
    /// <summary>Equatorial radius of WGS84, m.</summary>
    public const double EquatorialRadiusM = 6378137.0;
    /// <summary>Flattening of WGS84.</summary>
    public const double Flattening = 1 / 298.257223563;
    /// <summary>Rotation rate of WGS84, rad/s.</summary>
    public const double RotationRadPerS = 7.292115e-5;
    /// <summary>Gravitational parameter of WGS84, m³/s².</summary>
    public const double GravitationalParameter = 3.986004418e14;
    /// <summary>Oblateness coefficient J2 of EGM96.</summary>
    public const double J2 = 1.082626684e-3;

    private const double PolarRadiusM = EquatorialRadiusM * (1 - Flattening);
    private const double E2 = Flattening * (2 - Flattening);
    private const double Ep2 = E2 / (1 - E2);

    /// <summary>Days of UT1 since 2000-01-01T12:00.</summary>
    public static double DaysSinceJ2000(Instant time) => (time.ToUnixSeconds() - 946_728_000.0) / 86400.0;

    /// <summary>Greenwich mean sidereal time of 1982 (Aoki et al. 1982), 0…2π rad.</summary>
    public static double SiderealRad(Instant time)
    {
        var days = DaysSinceJ2000(time);
        var t = days / 36525.0;
        // 876600 h a century are whole turns a day plus the day's fraction: split, so that no digits are lost.
        var seconds = 67310.54841 + (8640184.812866 + (0.093104 - 6.2e-6 * t) * t) * t + 86400.0 * (days - Math.Floor(days));
        return (seconds - 86400.0 * Math.Floor(seconds / 86400.0)) * (2 * Math.PI / 86400.0);
    }

    /// <summary>Direction to the Sun in TEME, unit length, good to 0.01° (low-precision formula of the Astronomical Almanac).</summary>
    public static Vec3 SunDirection(Instant time)
    {
        var n = DaysSinceJ2000(time);
        const double deg = Math.PI / 180;
        var g = (357.528 + 0.9856003 * n) * deg;
        var lambda = (280.460 + 0.9856474 * n + 1.915 * Math.Sin(g) + 0.020 * Math.Sin(2 * g)) * deg;
        var obliquity = (23.439 - 4e-7 * n) * deg;
        return new Vec3(Math.Cos(lambda), Math.Cos(obliquity) * Math.Sin(lambda), Math.Sin(obliquity) * Math.Sin(lambda));
    }

    /// <summary>Turns a vector about the pole from inertial (TEME) to Earth-fixed (PEF) axes.</summary>
    public static Vec3 ToEarthFixed(Vec3 inertial, double sinSidereal, double cosSidereal) => new(
        cosSidereal * inertial.X + sinSidereal * inertial.Y,
        cosSidereal * inertial.Y - sinSidereal * inertial.X,
        inertial.Z);

    /// <summary>
    /// Geodetic coordinates by Bowring's formula (1976) in one step, without trigonometric functions; below 1 mm from the surface
    /// to 1000 km.
    /// </summary>
    public static GeodeticPoint Geodetic(Vec3 earthFixedM)
    {
        var p = Math.Sqrt(earthFixedM.X * earthFixedM.X + earthFixedM.Y * earthFixedM.Y);
        var t = earthFixedM.Z * EquatorialRadiusM / (p * PolarRadiusM);
        var cos = 1 / Math.Sqrt(1 + t * t);
        var sin = t * cos;
        var up = earthFixedM.Z + Ep2 * PolarRadiusM * sin * sin * sin;
        var outward = p - E2 * EquatorialRadiusM * cos * cos * cos;
        var scale = 1 / Math.Sqrt(up * up + outward * outward);
        double sinLat = up * scale, cosLat = outward * scale;
        var height = p * cosLat + earthFixedM.Z * sinLat - EquatorialRadiusM * Math.Sqrt(1 - E2 * sinLat * sinLat);
        return new GeodeticPoint(sinLat, cosLat, earthFixedM.Y / p, earthFixedM.X / p, height / 1000);
    }
}

/// <summary>A place by sine and cosine of geodetic latitude and longitude, and its WGS84 height in km.</summary>
public readonly record struct GeodeticPoint(double SinLatitude, double CosLatitude, double SinLongitude, double CosLongitude, double AltitudeKm)
{
    /// <summary>Geodetic latitude, degrees.</summary>
    public double LatitudeDeg => Math.Atan2(SinLatitude, CosLatitude) * (180 / Math.PI);
    /// <summary>Longitude, degrees east, −180…180.</summary>
    public double LongitudeDeg => Math.Atan2(SinLongitude, CosLongitude) * (180 / Math.PI);
    /// <summary>Unit vector to the east.</summary>
    public Vec3 East => new(-SinLongitude, CosLongitude, 0);
    /// <summary>Unit vector to the north.</summary>
    public Vec3 North => new(-SinLatitude * CosLongitude, -SinLatitude * SinLongitude, CosLatitude);
    /// <summary>Unit vector along the ellipsoid's normal.</summary>
    public Vec3 Up => new(CosLatitude * CosLongitude, CosLatitude * SinLongitude, SinLatitude);
}
