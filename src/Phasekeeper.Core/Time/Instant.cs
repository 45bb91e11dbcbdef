using System.Globalization;

namespace Phasekeeper.Core.Time;

/// <summary>
/// A moment on the continuous TAI scale: nanoseconds since 1970-01-01T00:00:00 TAI. It knows no calendar and no leap
/// second, so differences are true elapsed time. UTC appears only at the edges (<see cref="FromUtc"/>, <see cref="ToString()"/>).
/// Default: 1970-01-01T00:00:00 TAI. Range: 1678 to 2262.
/// </summary>
public readonly record struct Instant(long TaiNanoseconds) : IComparable<Instant>
{
    /// <summary>Nanoseconds in a second.</summary>
    public const long NanosecondsPerSecond = 1_000_000_000;

    private const long SecondsPerDay = 86400;

    /// <summary>Earliest moment that can be held.</summary>
    public static readonly Instant MinValue = new(long.MinValue);

    /// <summary>Latest moment that can be held.</summary>
    public static readonly Instant MaxValue = new(long.MaxValue);

    /// <summary>Moment of a UTC day (days since 1970-01-01) and nanoseconds of that day (up to 86401 s in a leap-second day).</summary>
    public static Instant FromUnixDay(long unixDay, long nanosecondOfDay)
    {
        var length = LeapSeconds.SecondsInUnixDay(unixDay) * NanosecondsPerSecond;
        if (nanosecondOfDay < 0 || nanosecondOfDay >= length)
            throw new ArgumentOutOfRangeException(nameof(nanosecondOfDay), nanosecondOfDay,
                $"Nanosecond of UTC day {unixDay} is {nanosecondOfDay}; that day holds 0 to {length - 1}.");
        return new((unixDay * SecondsPerDay + LeapSeconds.OffsetOnUnixDay(unixDay)) * NanosecondsPerSecond + nanosecondOfDay);
    }

    /// <summary>Moment of a UTC calendar date and time; <paramref name="second"/> may reach 60 within a leap second.</summary>
    public static Instant FromUtc(int year, int month, int day, int hour = 0, int minute = 0, double second = 0)
    {
        var unixDay = new DateOnly(year, month, day).DayNumber - UnixEpochDay;
        return FromUnixDay(unixDay, (hour * 3600L + minute * 60L) * NanosecondsPerSecond + (long)Math.Round(second * NanosecondsPerSecond));
    }

    /// <summary>Moment of Unix seconds (UTC, days of 86400 s; a leap second has no Unix time of its own).</summary>
    public static Instant FromUnixSeconds(double unixSeconds)
    {
        if (!(Math.Abs(unixSeconds) < 9.2e9))
            throw new ArgumentOutOfRangeException(nameof(unixSeconds), unixSeconds, $"Found {unixSeconds} Unix seconds; expected −9.2e9 to 9.2e9 (1678 to 2262).");
        var whole = Math.Floor(unixSeconds);
        var nanos = (long)Math.Round((unixSeconds - whole) * NanosecondsPerSecond);
        // A fraction that rounds up to a whole second belongs to the next one, which may be the next day's first.
        if (nanos == NanosecondsPerSecond) (whole, nanos) = (whole + 1, 0);
        var day = (long)Math.Floor(whole / SecondsPerDay);
        return FromUnixDay(day, (long)(whole - day * SecondsPerDay) * NanosecondsPerSecond + nanos);
    }

    /// <summary>Unix seconds of this moment; the 61st second of a leap-second minute repeats the next one's value.</summary>
    public double ToUnixSeconds()
    {
        var (day, nanos) = ToUnixDay();
        return day * (double)SecondsPerDay + nanos / (double)NanosecondsPerSecond;
    }

    /// <summary>UTC day (days since 1970-01-01) and nanoseconds of that day.</summary>
    public (long UnixDay, long NanosecondOfDay) ToUnixDay()
    {
        // Whole seconds and the rest apart, so that nothing overflows at the ends of the range.
        var seconds = FloorDiv(TaiNanoseconds, NanosecondsPerSecond);
        var rest = TaiNanoseconds - seconds * NanosecondsPerSecond;
        // The offset is at most 37 s, so the day is found at once or one earlier.
        var day = FloorDiv(seconds, SecondsPerDay);
        if (seconds < day * SecondsPerDay + LeapSeconds.OffsetOnUnixDay(day)) day--;
        return (day, (seconds - day * SecondsPerDay - LeapSeconds.OffsetOnUnixDay(day)) * NanosecondsPerSecond + rest);
    }

    /// <summary>The UTC calendar day.</summary>
    public DateOnly UtcDate => DateOnly.FromDayNumber((int)ToUnixDay().UnixDay + UnixEpochDay);

    /// <summary>Start of a UTC calendar day.</summary>
    public static Instant StartOf(DateOnly utcDate) => FromUnixDay(utcDate.DayNumber - UnixEpochDay, 0);

    /// <summary>UTC as .NET's DateTime (kind Utc, 100 ns); a leap second is shown as the last tick before midnight.</summary>
    public DateTime ToDateTimeUtc()
    {
        var (day, nanos) = ToUnixDay();
        var ticks = Math.Min(nanos / 100, TimeSpan.TicksPerDay - 1);
        return DateTime.UnixEpoch.AddDays(day).AddTicks(ticks);
    }

    /// <summary>Moment of a .NET DateTime, taken as UTC.</summary>
    public static Instant FromDateTimeUtc(DateTime utc)
    {
        var day = (long)Math.Floor((utc.Date - DateTime.UnixEpoch).TotalDays);
        return FromUnixDay(day, utc.TimeOfDay.Ticks * 100);
    }

    /// <summary>Elapsed seconds from <paramref name="earlier"/> to <paramref name="later"/>.</summary>
    public static double operator -(Instant later, Instant earlier) =>
        (later.TaiNanoseconds - earlier.TaiNanoseconds) / (double)NanosecondsPerSecond;

    /// <summary>This moment moved by elapsed seconds (rounded to a nanosecond).</summary>
    public Instant AddSeconds(double seconds) => new(TaiNanoseconds + (long)Math.Round(seconds * NanosecondsPerSecond));

    /// <inheritdoc/>
    public int CompareTo(Instant other) => TaiNanoseconds.CompareTo(other.TaiNanoseconds);

    /// <summary>Earlier than.</summary>
    public static bool operator <(Instant a, Instant b) => a.TaiNanoseconds < b.TaiNanoseconds;
    /// <summary>Later than.</summary>
    public static bool operator >(Instant a, Instant b) => a.TaiNanoseconds > b.TaiNanoseconds;
    /// <summary>Not later than.</summary>
    public static bool operator <=(Instant a, Instant b) => a.TaiNanoseconds <= b.TaiNanoseconds;
    /// <summary>Not earlier than.</summary>
    public static bool operator >=(Instant a, Instant b) => a.TaiNanoseconds >= b.TaiNanoseconds;

    /// <summary>ISO 8601 in UTC, e.g. 2031-03-01T00:00:00.250Z: as many decimals as are needed (none, 3, 6 or 9).</summary>
    public override string ToString()
    {
        var (day, nanos) = ToUnixDay();
        var date = DateOnly.FromDayNumber((int)day + UnixEpochDay);
        var second = nanos / NanosecondsPerSecond;
        var fraction = nanos % NanosecondsPerSecond;
        // Within a leap second the clock reads 23:59:60.
        var (hour, minute, s) = second >= SecondsPerDay ? (23L, 59L, second - SecondsPerDay + 60) : (second / 3600, second / 60 % 60, second % 60);
        var decimals = fraction == 0 ? "" : fraction % 1_000_000 == 0 ? $".{fraction / 1_000_000:D3}"
            : fraction % 1000 == 0 ? $".{fraction / 1000:D6}" : $".{fraction:D9}";
        return $"{date:yyyy-MM-dd}T{hour:D2}:{minute:D2}:{s:D2}{decimals}Z";
    }

    /// <summary>
    /// Reads ISO 8601 UTC: date, or date and time with 'T' or space, optional decimals and 'Z' or an offset (±hh:mm); day of
    /// year (yyyy-ddd) is accepted as CCSDS files write it. Without a zone the text is UTC.
    /// </summary>
    public static bool TryParseUtc(string? text, out Instant instant)
    {
        instant = default;
        if (string.IsNullOrWhiteSpace(text)) return false;
        var t = text.Trim();
        var offsetSeconds = 0;
        if (t.EndsWith('Z') || t.EndsWith('z')) t = t[..^1];
        else if (t.Length > 6 && (t[^6] == '+' || t[^6] == '-') && t[^3] == ':' && t.Contains(':', StringComparison.Ordinal) && t.IndexOf(':') < t.Length - 3)
        {
            if (!int.TryParse(t.AsSpan(t.Length - 5, 2), NumberStyles.None, CultureInfo.InvariantCulture, out var oh)
                || !int.TryParse(t.AsSpan(t.Length - 2, 2), NumberStyles.None, CultureInfo.InvariantCulture, out var om)
                || oh > 23 || om > 59) return false;
            offsetSeconds = (oh * 3600 + om * 60) * (t[^6] == '-' ? -1 : 1);
            t = t[..^6];
        }
        if (!TryParseCalendar(t, out var unixDay, out var nanos)) return false;
        if (offsetSeconds != 0)
        {
            // A zone moves the clock's reading, not the count of seconds: a leap second in between must not be counted.
            // (A leap second itself is only read in UTC.)
            if (nanos >= SecondsPerDay * NanosecondsPerSecond) return false;
            nanos -= offsetSeconds * NanosecondsPerSecond;
            var shift = FloorDiv(nanos, SecondsPerDay * NanosecondsPerSecond);
            unixDay += shift;
            nanos -= shift * SecondsPerDay * NanosecondsPerSecond;
        }
        if (nanos >= LeapSeconds.SecondsInUnixDay(unixDay) * NanosecondsPerSecond) return false;
        instant = FromUnixDay(unixDay, nanos);
        return true;
    }

    /// <summary>
    /// Reads a calendar date and time (as <see cref="TryParseUtc"/>, without a zone) whose scale the file states elsewhere:
    /// on TAI, GPS and TT every day has 86400 s.
    /// </summary>
    public static bool TryParse(string? text, CalendarScale scale, out Instant instant)
    {
        if (scale == CalendarScale.Utc) return TryParseUtc(text, out instant);
        instant = default;
        if (string.IsNullOrWhiteSpace(text)) return false;
        var t = text.Trim();
        if (t.EndsWith('Z')) t = t[..^1];
        if (!TryParseCalendar(t, out var day, out var nanos) || nanos >= SecondsPerDay * NanosecondsPerSecond) return false;
        var minusTaiNs = scale switch
        {
            CalendarScale.Tai => 0,
            // GPS time is 19 s behind TAI since 1980-01-06 (IS-GPS-200); TT is 32.184 s ahead (IAU 1991, resolution A4).
            CalendarScale.Gps => -19 * NanosecondsPerSecond,
            CalendarScale.Tt => 32_184_000_000,
            _ => throw new ArgumentOutOfRangeException(nameof(scale), scale, "Unknown time scale."),
        };
        instant = new Instant(day * SecondsPerDay * NanosecondsPerSecond + nanos - minusTaiNs);
        return true;
    }

    private static bool TryParseCalendar(string text, out long unixDay, out long nanosecondOfDay)
    {
        unixDay = nanosecondOfDay = 0;
        var split = text.IndexOfAny(['T', 't', ' ']);
        if (!TryParseDate(split < 0 ? text : text[..split], out var date)) return false;
        if (split >= 0 && split == text.Length - 1) return false;
        if (!TryParseTimeOfDay(split < 0 ? "" : text[(split + 1)..], out nanosecondOfDay)) return false;
        unixDay = (long)date.DayNumber - UnixEpochDay;
        return true;
    }

    /// <summary>As <see cref="TryParseUtc"/>; throws with what was found and what was expected.</summary>
    public static Instant ParseUtc(string text) => TryParseUtc(text, out var instant) ? instant
        : throw new FormatException($"Found the time '{text}'; expected ISO 8601 UTC such as 2031-03-01T12:00:00Z.");

    private static readonly int UnixEpochDay = new DateOnly(1970, 1, 1).DayNumber;

    private static bool TryParseDate(string text, out DateOnly date)
    {
        if (DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out date))
            return date.Year is > 1678 and < 2262;
        if (text.Length == 8 && text[4] == '-'
            && int.TryParse(text.AsSpan(0, 4), NumberStyles.None, CultureInfo.InvariantCulture, out var year) && year is > 1678 and < 2262
            && int.TryParse(text.AsSpan(5, 3), NumberStyles.None, CultureInfo.InvariantCulture, out var dayOfYear)
            && dayOfYear >= 1 && dayOfYear <= (DateTime.IsLeapYear(year) ? 366 : 365))
        {
            date = new DateOnly(year, 1, 1).AddDays(dayOfYear - 1);
            return true;
        }
        return false;
    }

    private static bool TryParseTimeOfDay(string text, out long nanoseconds)
    {
        nanoseconds = 0;
        if (text.Length == 0) return true;
        var parts = text.Split(':');
        if (parts.Length is < 2 or > 3) return false;
        if (!int.TryParse(parts[0], NumberStyles.None, CultureInfo.InvariantCulture, out var hour) || hour > 23) return false;
        if (!int.TryParse(parts[1], NumberStyles.None, CultureInfo.InvariantCulture, out var minute) || minute > 59) return false;
        long second = 0, fraction = 0;
        if (parts.Length == 3)
        {
            var dot = parts[2].IndexOfAny(['.', ',']);
            var whole = dot < 0 ? parts[2] : parts[2][..dot];
            if (!long.TryParse(whole, NumberStyles.None, CultureInfo.InvariantCulture, out second) || second > 60) return false;
            if (dot >= 0)
            {
                var digits = parts[2][(dot + 1)..];
                if (digits.Length == 0 || !digits.All(char.IsAsciiDigit)) return false;
                fraction = long.Parse(digits.PadRight(9, '0')[..9], CultureInfo.InvariantCulture);
            }
        }
        if (second == 60 && (hour != 23 || minute != 59)) return false;
        nanoseconds = (hour * 3600L + minute * 60L + second) * NanosecondsPerSecond + fraction;
        return true;
    }

    private static long FloorDiv(long a, long b) => a % b < 0 ? a / b - 1 : a / b;
}
