using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Geometry;

/// <summary>
/// Low-precision position of the Moon: the Astronomical Almanac's short series (page D46; also Vallado, Fundamentals, algorithm 31). Good to 0.3 deg in
/// direction and 0.2 Earth radii (test Moon_meets_a_printed_position): enough to tell when it is in a field of view. Nutation is left out.
/// </summary>
public static class MoonPosition
{
    /// <summary>The Moon at a moment.</summary>
    public static CelestialPosition At(Instant time)
    {
        var t = JulianDate.Terrestrial(time).CenturiesSinceJ2000;
        double Sin(double a, double b) => Math.Sin(Angle(a + b * t));
        double Cos(double a, double b) => Math.Cos(Angle(a + b * t));
        var longitude = Angle(218.32 + 481267.8813 * t + 6.29 * Sin(134.9, 477198.85) - 1.27 * Sin(259.2, -413335.38) + 0.66 * Sin(235.7, 890534.23)
            + 0.21 * Sin(269.9, 954397.70) - 0.19 * Sin(357.5, 35999.05) - 0.11 * Sin(186.6, 966404.05));
        var latitude = Angle(5.13 * Sin(93.3, 483202.03) + 0.28 * Sin(228.2, 960400.87) - 0.28 * Sin(318.3, 6003.18) - 0.17 * Sin(217.6, -407332.20));
        var parallax = Angle(0.9508 + 0.0518 * Cos(134.9, 477198.85) + 0.0095 * Cos(259.2, -413335.38) + 0.0078 * Cos(235.7, 890534.23)
            + 0.0028 * Cos(269.9, 954397.70));
        var (sinL, cosL) = Math.SinCos(longitude);
        var (sinB, cosB) = Math.SinCos(latitude);
        var direction = Mat3.FrameTurnX(-Nutation1980.MeanObliquityRad(t)) * new Vec3(cosB * cosL, cosB * sinL, sinB);
        return new(direction, Wgs84.EquatorialRadiusM / Math.Sin(parallax));
    }

    private static double Angle(double degrees) => Math.IEEERemainder(degrees, 360) * (Math.PI / 180);
}
