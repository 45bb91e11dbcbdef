using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Notices;

/// <summary>Hours of every day in which a person wants no notices. The person's clock is an offset to UTC: no time zone with summer time is assumed.</summary>
/// <param name="FromMinute">Begin, minutes after local midnight, 0…1439.</param>
/// <param name="ToMinute">End (not included), 0…1439; before the begin = on the next day; the same = never quiet.</param>
public sealed record QuietHours(int FromMinute, int ToMinute)
{
    /// <summary>Minutes of a day.</summary>
    public const int MinutesOfDay = 1440;

    /// <summary>Whether a moment lies in them.</summary>
    /// <param name="time">Wall clock.</param>
    /// <param name="offsetMinutes">The person's clock minus UTC, minutes.</param>
    public bool Contains(Instant time, int offsetMinutes)
    {
        var minute = LocalClock.SecondOfDay(time, offsetMinutes) / 60;
        return FromMinute <= ToMinute ? minute >= FromMinute && minute < ToMinute : minute >= FromMinute || minute < ToMinute;
    }

    /// <summary>The first moment at or after <paramref name="time"/> that is not quiet.</summary>
    public Instant EndAfter(Instant time, int offsetMinutes) => Contains(time, offsetMinutes) ? LocalClock.Next(time, offsetMinutes, ToMinute, MinutesOfDay) : time;
}

/// <summary>When collected notices go out: at hours of the day that repeat.</summary>
/// <param name="EveryHours">Hours between two digests; a divisor of 24.</param>
/// <param name="AtHour">An hour of the person's day at which one goes out, 0…23.</param>
public sealed record DigestPlan(int EveryHours, int AtHour)
{
    /// <summary>Choices of <see cref="EveryHours"/>.</summary>
    public static IReadOnlyList<int> Choices { get; } = [1, 2, 3, 4, 6, 8, 12, 24];

    /// <summary>The first digest after a moment.</summary>
    /// <param name="time">Wall clock.</param>
    /// <param name="offsetMinutes">The person's clock minus UTC, minutes.</param>
    public Instant NextAfter(Instant time, int offsetMinutes) => LocalClock.Next(time, offsetMinutes, AtHour % EveryHours * 60, EveryHours * 60);
}

/// <summary>A person's clock, as an offset to UTC.</summary>
internal static class LocalClock
{
    /// <summary>Whole seconds since local midnight.</summary>
    public static int SecondOfDay(Instant time, int offsetMinutes) => (int)Modulo(Local(time, offsetMinutes), 86_400);

    /// <summary>The first moment after <paramref name="time"/> at which the minutes since local midnight are <paramref name="minute"/>, modulo <paramref name="period"/>.</summary>
    public static Instant Next(Instant time, int offsetMinutes, int minute, int period)
    {
        var local = Local(time, offsetMinutes);
        var wait = Modulo(minute * 60L - local, period * 60L);
        return Instant.FromUnixSeconds(local - offsetMinutes * 60L + (wait == 0 ? period * 60L : wait));
    }

    private static long Local(Instant time, int offsetMinutes) => (long)Math.Floor(time.ToUnixSeconds()) + offsetMinutes * 60L;

    private static long Modulo(long value, long period) => ((value % period) + period) % period;
}
