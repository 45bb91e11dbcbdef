using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Geometry;

/// <summary>
/// The turn between TEME (true equator, mean equinox of date; inertial) and the Earth-fixed frame PEF. UT1 is taken as UTC and
/// polar motion as zero, which costs up to 0.4 km in longitude and 15 m in position; motion and angles between looks are not touched.
/// Against reference values: 1e-6 km and 1e-9 km/s (test Teme_to_pef_meets_the_reference_states).
/// Vallado, Crawford, Hujsak, Kelso 2006, AIAA 2006-6753, appendix C (doi 10.2514/6.2006-6753).
/// </summary>
public static class EarthRotation
{
    /// <summary>Rate that goes with GMST 1982 in the frame rotation, rad/s (AIAA 2006-6753, appendix C).</summary>
    public const double RateRadPerS = 7.29211514670698e-5;

    /// <summary>
    /// Greenwich mean sidereal time, IAU 1982, rad in 0…2π: 67310.54841 s + (876600 h + 8640184.812866 s)·T + 0.093104 s·T² − 6.2e-6 s·T³,
    /// T in Julian centuries of UT1. Aoki et al. 1982, Astron. Astrophys. 105, 359.
    /// </summary>
    public static double Gmst1982Rad(JulianDate ut1)
    {
        var t = ut1.CenturiesSinceJ2000;
        // The 876600 h a century are whole turns of the day fraction: taken from the fraction alone, no digit is lost.
        var seconds = 67310.54841 - 43200 + (8640184.812866 + (0.093104 - 6.2e-6 * t) * t) * t;
        var turns = seconds / 86400 + ut1.DayFraction;
        return (turns - Math.Floor(turns)) * (2 * Math.PI);
    }

    /// <summary>Greenwich mean sidereal time at a moment (UT1 = UTC), rad.</summary>
    public static double Gmst1982Rad(Instant time) => Gmst1982Rad(JulianDate.Utc(time));

    /// <summary>Matrix that takes TEME coordinates to Earth-fixed ones.</summary>
    public static Mat3 TemeToEcef(Instant time) => Mat3.FrameTurnZ(Gmst1982Rad(time));

    /// <summary>Earth-fixed position (m) and velocity relative to the turning Earth (m/s).</summary>
    public static (Vec3 PositionEcefM, Vec3 VelocityEcefMs) ToEcef(Instant time, OrbitState state)
    {
        var m = TemeToEcef(time);
        var r = m * state.PositionTemeM;
        return (r, m * state.VelocityTemeMs - Vec3.Cross(new(0, 0, RateRadPerS), r));
    }

    /// <summary>The inertial state of an Earth-fixed position (m) and velocity relative to the turning Earth (m/s).</summary>
    public static OrbitState FromEcef(Instant time, Vec3 positionEcefM, Vec3 velocityEcefMs)
    {
        var m = TemeToEcef(time).Transposed();
        return new(m * positionEcefM, m * (velocityEcefMs + Vec3.Cross(new(0, 0, RateRadPerS), positionEcefM)));
    }
}
