using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Geometry;

/// <summary>
/// Turns between the mean equator and equinox of J2000 (EME2000; ICRF and GCRF are taken as the same, 0.02″ or 0.7 m at 7000 km away)
/// and TEME: precession IAU 1976 (Lieske et al. 1977, Astron. Astrophys. 58, 1), nutation IAU 1980, equation of the equinoxes with the terms
/// of 1994 (IAU resolution C7). No corrections from observation (dψ, dε; about 0.1″). Against the IAU 2006/2000A Sun of the
/// reference set: within 0.2″, 7 m at 7000 km (test Eme2000_to_teme_turns_the_sun_as_the_reference_does).
/// The turning of TEME itself (8e-12 rad/s, 6e-5 m/s at 7000 km) is not added to velocities.
/// </summary>
public static class EquatorOfDate
{
    private const double ArcsecondRad = Math.PI / 648000;

    /// <summary>Matrix that takes EME2000 coordinates to TEME of the moment.</summary>
    public static Mat3 Eme2000ToTeme(Instant time)
    {
        var t = JulianDate.Terrestrial(time).CenturiesSinceJ2000;
        return TrueOfDateToTeme(t) * Nutation(t) * Precession(t);
    }

    /// <summary>Matrix from EME2000 to the mean equator and equinox of date; T in Julian centuries of TT.</summary>
    public static Mat3 Precession(double t)
    {
        var zeta = (2306.2181 + (0.30188 + 0.017998 * t) * t) * t * ArcsecondRad;
        var theta = (2004.3109 + (-0.42665 - 0.041833 * t) * t) * t * ArcsecondRad;
        var z = (2306.2181 + (1.09468 + 0.018203 * t) * t) * t * ArcsecondRad;
        return Mat3.FrameTurnZ(-z) * Mat3.FrameTurnY(theta) * Mat3.FrameTurnZ(-zeta);
    }

    /// <summary>Matrix from the mean to the true equator and equinox of date; T in Julian centuries of TT.</summary>
    public static Mat3 Nutation(double t)
    {
        var (longitude, obliquity, _) = Nutation1980.At(t);
        var mean = Nutation1980.MeanObliquityRad(t);
        return Mat3.FrameTurnX(-mean - obliquity) * Mat3.FrameTurnZ(-longitude) * Mat3.FrameTurnX(mean);
    }

    /// <summary>Matrix from the true equator and equinox of date to TEME; T in Julian centuries of TT.</summary>
    public static Mat3 TrueOfDateToTeme(double t) => Mat3.FrameTurnZ(EquationOfEquinoxesRad(t));

    /// <summary>Apparent minus mean sidereal time, Δψ·cos ε + 0.00264″ sin Ω + 0.000063″ sin 2Ω, rad; T in Julian centuries of TT.</summary>
    public static double EquationOfEquinoxesRad(double t)
    {
        var (longitude, _, node) = Nutation1980.At(t);
        return longitude * Math.Cos(Nutation1980.MeanObliquityRad(t))
            + (0.00264 * Math.Sin(node) + 0.000063 * Math.Sin(2 * node)) * ArcsecondRad;
    }
}
