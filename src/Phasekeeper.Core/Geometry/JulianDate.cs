using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Geometry;

/// <summary>
/// A Julian date kept in two parts, because one double resolves only 40 µs: <paramref name="Midnight"/> is the Julian date of
/// 0 h (ends in .5), <paramref name="DayFraction"/> the elapsed part of that day (0…1, a little more inside a leap second).
/// </summary>
public readonly record struct JulianDate(double Midnight, double DayFraction)
{
    /// <summary>Julian date of 2000-01-01T12:00, the epoch J2000.0.</summary>
    public const double J2000 = 2451545.0;

    private const double UnixEpoch = 2440587.5;
    private const long NanosecondsPerDay = 86400 * Instant.NanosecondsPerSecond;

    /// <summary>TT − TAI, ns: 32.184 s by definition (IAU 1991, resolution A4).</summary>
    private const long TerrestrialMinusAtomicNs = 32_184_000_000;

    /// <summary>UTC, taken as UT1 throughout the program (|UT1 − UTC| &lt; 0.9 s; 0.9 s is 0.4 km on the ground).</summary>
    public static JulianDate Utc(Instant time)
    {
        var (day, nanos) = time.ToUnixDay();
        return new(UnixEpoch + day, nanos / (double)NanosecondsPerDay);
    }

    /// <summary>Terrestrial time, the argument of precession, nutation and the Sun's position.</summary>
    public static JulianDate Terrestrial(Instant time)
    {
        var nanos = time.TaiNanoseconds + TerrestrialMinusAtomicNs;
        var day = Math.DivRem(nanos, NanosecondsPerDay, out var rest);
        if (rest < 0) { day--; rest += NanosecondsPerDay; }
        return new(UnixEpoch + day, rest / (double)NanosecondsPerDay);
    }

    /// <summary>Julian centuries of 36525 days since J2000.0.</summary>
    public double CenturiesSinceJ2000 => (Midnight - J2000 + DayFraction) / 36525;
}
