using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Geometry;

/// <summary>
/// Apparent position of the Sun (aberration and nutation included). Meeus 1998, Astronomical Algorithms, chapter 25, low accuracy, with the IAU 1980
/// nutation. Within 0.006 deg in direction and 1e-4 AU in distance between 2000 and 2030 (test Sun_meets_the_reference_directions).
/// </summary>
public static class SunPosition
{
    /// <summary>Astronomical unit, m (IAU 2012 resolution B2, exact).</summary>
    public const double AstronomicalUnitM = 149_597_870_700;

    /// <summary>Nominal solar radius, m (IAU 2015 resolution B3).</summary>
    public const double RadiusM = 695_700_000;

    private const double Degree = Math.PI / 180;

    /// <summary>Direction from the Earth's centre to the Sun on Earth-fixed axes, unit length.</summary>
    public static Vec3 DirectionEcef(Instant time) => EarthRotation.TemeToEcef(time) * At(time).DirectionTeme;

    /// <summary>The Sun at a moment.</summary>
    public static CelestialPosition At(Instant time)
    {
        var t = JulianDate.Terrestrial(time).CenturiesSinceJ2000;
        // Mean longitude and anomaly, eccentricity, equation of the centre.
        var l0 = 280.46646 + (36000.76983 + 0.0003032 * t) * t;
        var m = Math.IEEERemainder(357.52911 + (35999.05029 - 0.0001537 * t) * t, 360) * Degree;
        var e = 0.016708634 - (0.000042037 + 0.0000001267 * t) * t;
        var centre = (1.914602 - (0.004817 + 0.000014 * t) * t) * Math.Sin(m) + (0.019993 - 0.000101 * t) * Math.Sin(2 * m) + 0.000289 * Math.Sin(3 * m);
        var distanceAu = 1.000001018 * (1 - e * e) / (1 + e * Math.Cos(m + centre * Degree));
        var (nutation, obliquityChange, _) = Nutation1980.At(t);
        // Aberration: 20.4898″ / distance.
        var longitude = Math.IEEERemainder(l0 + centre - 20.4898 / 3600 / distanceAu, 360) * Degree + nutation;
        var (sinL, cosL) = Math.SinCos(longitude);
        var (sinE, cosE) = Math.SinCos(Nutation1980.MeanObliquityRad(t) + obliquityChange);
        return new(EquatorOfDate.TrueOfDateToTeme(t) * new Vec3(cosL, cosE * sinL, sinE * sinL), distanceAu * AstronomicalUnitM);
    }
}
