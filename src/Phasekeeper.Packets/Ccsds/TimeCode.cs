using Phasekeeper.Core.Profile;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Packets.Ccsds;

/// <summary>
/// Turns the counts of a CCSDS time code (301.0-B-4) into a moment.
/// <para>
/// CDS (3.3): days since the epoch, milliseconds of day, microseconds of millisecond. In UTC a day with a leap second has 86,401,000 ms; in TAI and
/// GPS every day has 86,400,000.
/// CUC (3.2): whole units (seconds) since the epoch and a binary fraction. In UTC the count is one that knows no leap seconds, i.e.
/// a day is 86,400 s, like Unix time; in TAI and GPS every second counts.
/// </para>
/// </summary>
public static class TimeCode
{
    private const long NanosecondsPerDay = 86_400 * Instant.NanosecondsPerSecond;
    private const long MillisecondsPerDay = 86_400_000;

    // What an Instant can hold is 1678 to 2262; days since 1970 beyond this are refused before anything is multiplied.
    private const long MostDays = 106_000;

    // GPS time started equal to UTC on 1980-01-06, when TAI − UTC was 19 s (IS-GPS-200, 3.3.4).
    private const long GpsOffsetSeconds = 19;

    /// <summary>CDS. False: impossible, with the reason.</summary>
    /// <param name="epochDay">Epoch as days since 1970-01-01 in the code's scale.</param>
    /// <param name="scale">Scale of the count.</param>
    /// <param name="day">Days since the epoch.</param>
    /// <param name="millisecond">Milliseconds of the day.</param>
    /// <param name="microsecond">Microseconds of the millisecond, 0 to 999.</param>
    /// <param name="time">The moment.</param>
    /// <param name="reason">Why it is impossible; null otherwise.</param>
    public static bool TryCds(long epochDay, TimeScale scale, long day, long millisecond, long microsecond, out Instant time, out string? reason)
    {
        time = default;
        if (day < 0 || day > 2 * MostDays || Math.Abs(epochDay + day) > MostDays)
        {
            reason = $"The day count is {day}: outside the years 1680 to 2260.";
            return false;
        }
        var unixDay = epochDay + day;
        var most = scale == TimeScale.Utc ? LeapSeconds.SecondsInUnixDay(unixDay) * 1000L : MillisecondsPerDay;
        if (millisecond < 0 || millisecond >= most)
        {
            reason = $"The millisecond of day is {millisecond}; that day has 0 to {most - 1}.";
            return false;
        }
        if (microsecond is < 0 or > 999)
        {
            reason = $"The microsecond of the millisecond is {microsecond}; expected 0 to 999.";
            return false;
        }
        var nanosecondOfDay = millisecond * 1_000_000 + microsecond * 1000;
        time = scale == TimeScale.Utc ? Instant.FromUnixDay(unixDay, nanosecondOfDay)
            : new(unixDay * NanosecondsPerDay + nanosecondOfDay + OffsetNanoseconds(scale));
        reason = null;
        return true;
    }

    /// <summary>CUC. False: impossible, with the reason.</summary>
    /// <param name="epoch">Epoch as a calendar date and time in the code's scale.</param>
    /// <param name="scale">Scale of the count.</param>
    /// <param name="coarse">Whole seconds.</param>
    /// <param name="fine">Fraction, in units of 2^−<paramref name="fineBits"/> s.</param>
    /// <param name="fineBits">Bits of the fraction, 0 to 63.</param>
    /// <param name="time">The moment, rounded to a nanosecond.</param>
    /// <param name="reason">Why it is impossible; null otherwise.</param>
    public static bool TryCuc(DateTime epoch, TimeScale scale, ulong coarse, ulong fine, int fineBits, out Instant time, out string? reason)
    {
        time = default;
        if (coarse > 2UL * MostDays * 86_400)
        {
            reason = $"The coarse time is {coarse} s: outside the years 1680 to 2260.";
            return false;
        }
        if (fine >> fineBits != 0)
        {
            reason = $"The fine time is {fine}; expected less than 2^{fineBits}.";
            return false;
        }
        var fraction = (long)((((UInt128)fine * Instant.NanosecondsPerSecond) + ((UInt128)1 << fineBits >> 1)) >> fineBits);
        var ticks = (epoch - DateTime.UnixEpoch).Ticks;
        var seconds = (Int128)(ticks / TimeSpan.TicksPerSecond) + coarse;
        var nanoseconds = seconds * Instant.NanosecondsPerSecond + ticks % TimeSpan.TicksPerSecond * 100 + fraction;
        if (Int128.Abs(nanoseconds) > (Int128)MostDays * NanosecondsPerDay)
        {
            reason = $"The coarse time is {coarse} s: outside the years 1680 to 2260.";
            return false;
        }
        reason = null;
        var count = (long)nanoseconds;
        if (scale != TimeScale.Utc)
        {
            time = new(count + OffsetNanoseconds(scale));
            return true;
        }
        var day = Math.DivRem(count, NanosecondsPerDay, out var ofDay);
        if (ofDay < 0) (day, ofDay) = (day - 1, ofDay + NanosecondsPerDay);
        time = Instant.FromUnixDay(day, ofDay);
        return true;
    }

    /// <summary>Days since 1970-01-01 of a calendar date.</summary>
    public static long EpochDay(DateTime epoch) => (epoch.Date - DateTime.UnixEpoch).Days;

    private static long OffsetNanoseconds(TimeScale scale) => scale == TimeScale.Gps ? GpsOffsetSeconds * Instant.NanosecondsPerSecond : 0;
}
