namespace Phasekeeper.Core.Geometry;

/// <summary>Geodetic position over the WGS 84 ellipsoid: latitude and longitude in rad (longitude −π…π, east positive), height in m.</summary>
public readonly record struct Geodetic(double LatitudeRad, double LongitudeRad, double AltitudeM);

/// <summary>
/// The WGS 84 ellipsoid (NIMA TR8350.2, third edition, table 3.1) and the way between geodetic and Earth-fixed coordinates.
/// Accuracy of <see cref="ToGeodetic"/> and back: 1e-8 m up to low orbits and 1e-7 m at 36,000 km height, poles included
/// (test Geodetic_round_trip_is_good_to_ten_nanometres).
/// </summary>
public static class Wgs84
{
    /// <summary>Equatorial radius a, m.</summary>
    public const double EquatorialRadiusM = 6_378_137.0;

    /// <summary>Flattening f.</summary>
    public const double Flattening = 1 / 298.257223563;

    /// <summary>Rotation rate of the Earth ω⊕, rad/s: the speed at which the air below is carried along.</summary>
    public const double RotationRateRadPerS = 7.292115e-5;

    /// <summary>First eccentricity squared, e² = f(2 − f).</summary>
    public const double EccentricitySquared = Flattening * (2 - Flattening);

    /// <summary>Earth-fixed position (m) of a geodetic one.</summary>
    public static Vec3 ToEcef(Geodetic position)
    {
        var (sinLat, cosLat) = Math.SinCos(position.LatitudeRad);
        var (sinLon, cosLon) = Math.SinCos(position.LongitudeRad);
        var n = EquatorialRadiusM / Math.Sqrt(1 - EccentricitySquared * sinLat * sinLat);
        var p = (n + position.AltitudeM) * cosLat;
        return new(p * cosLon, p * sinLon, (n * (1 - EccentricitySquared) + position.AltitudeM) * sinLat);
    }

    /// <summary>
    /// Geodetic position of an Earth-fixed one (m), outside a ball of 50 km about the centre. Bowring 1976 (Survey Review 23, 323), the
    /// reduced latitude repeated three times; from 0 to 36,000 km height the first pass already is good to 1e-9 rad.
    /// </summary>
    public static Geodetic ToGeodetic(Vec3 ecefM)
    {
        const double b = EquatorialRadiusM * (1 - Flattening);
        const double secondEccentricitySquared = EccentricitySquared / (1 - EccentricitySquared);
        var p = Math.Sqrt(ecefM.X * ecefM.X + ecefM.Y * ecefM.Y);
        double tanReducedY = ecefM.Z * EquatorialRadiusM, tanReducedX = p * b;
        double sinLat = 0, cosLat = 1;
        for (var pass = 0; pass < 3; pass++)
        {
            var r = Math.Sqrt(tanReducedX * tanReducedX + tanReducedY * tanReducedY);
            double sin = tanReducedY / r, cos = tanReducedX / r;
            var y = ecefM.Z + secondEccentricitySquared * b * sin * sin * sin;
            var x = p - EccentricitySquared * EquatorialRadiusM * cos * cos * cos;
            var length = Math.Sqrt(x * x + y * y);
            (sinLat, cosLat) = (y / length, x / length);
            (tanReducedY, tanReducedX) = ((1 - Flattening) * sinLat, cosLat);
        }
        var height = p * cosLat + ecefM.Z * sinLat - EquatorialRadiusM * Math.Sqrt(1 - EccentricitySquared * sinLat * sinLat);
        return new(Math.Atan2(sinLat, cosLat), Math.Atan2(ecefM.Y, ecefM.X), height);
    }

    /// <summary>Unit vectors to the east, north and up (normal to the ellipsoid) at a geodetic position, Earth-fixed axes.</summary>
    public static (Vec3 East, Vec3 North, Vec3 Up) LocalAxes(double latitudeRad, double longitudeRad)
    {
        var (sinLat, cosLat) = Math.SinCos(latitudeRad);
        var (sinLon, cosLon) = Math.SinCos(longitudeRad);
        return (new(-sinLon, cosLon, 0), new(-sinLat * cosLon, -sinLat * sinLon, cosLat), new(cosLat * cosLon, cosLat * sinLon, sinLat));
    }
}
