using System.Globalization;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Web.Shared.Times;

/// <summary>Times as people read them on a page. Always UTC; "UTC" stands beside the time or in the column's head.</summary>
public static class UtcText
{
    /// <summary>2031-03-01 14:05:10</summary>
    public static string DateAndTime(Instant time) => time.ToDateTimeUtc().ToString("yyyy-MM-dd HH:mm:ss", CultureInfo.InvariantCulture);

    /// <summary>2031-03-01 14:05</summary>
    public static string DateAndMinute(Instant time) => time.ToDateTimeUtc().ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture);

    /// <summary>14:05</summary>
    public static string Minute(Instant time) => time.ToDateTimeUtc().ToString("HH:mm", CultureInfo.InvariantCulture);

    /// <summary>2031-03-01</summary>
    public static string Date(Instant time) => time.ToDateTimeUtc().ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    /// <summary>A stretch of time; the second date only where it differs: 2031-03-01 14:05 – 15:41.</summary>
    public static string Range(Instant from, Instant to) => Date(from) == Date(to) ? $"{DateAndMinute(from)} – {Minute(to)}" : $"{DateAndMinute(from)} – {DateAndMinute(to)}";
}
