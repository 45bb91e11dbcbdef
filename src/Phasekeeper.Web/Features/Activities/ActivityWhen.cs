using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Activities;

namespace Phasekeeper.Web.Features.Activities;

/// <summary>Where an activity stands against mission time, and times as people type them.</summary>
public static class ActivityWhen
{
    /// <summary>It runs.</summary>
    public const string Running = "running";

    /// <summary>It has not begun.</summary>
    public const string Coming = "coming";

    /// <summary>It has ended.</summary>
    public const string Past = "past";

    /// <summary>It is cancelled.</summary>
    public const string Cancelled = "cancelled";

    /// <summary>All words, in the order in which they are offered.</summary>
    public static IReadOnlyList<string> All { get; } = [Running, Coming, Past, Cancelled];

    private static readonly string[] Formats = ["yyyy-MM-dd HH:mm", "yyyy-MM-dd HH:mm:ss"];

    /// <summary>The word for an activity. Without packets there is no mission time: nothing has begun.</summary>
    public static string Of(ActivityEntry entry, Instant? missionTime)
    {
        ArgumentNullException.ThrowIfNull(entry);
        return entry.IsCancelled ? Cancelled : missionTime is not { } now || entry.Activity.From > now ? Coming : entry.Activity.To > now ? Running : Past;
    }

    /// <summary>A time as it is typed, UTC; null when it is none.</summary>
    public static Instant? Parse(string? text)
    {
        // Instant takes more forms than are offered (day of year, offsets): what looks like one of these is read by it, which knows the years that there are.
        var plain = (text ?? "").Trim().Replace('T', ' ').TrimEnd('Z', ' ');
        return DateTime.TryParseExact(plain, Formats, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal, out _) && Instant.TryParseUtc(plain, out var time) ? time : null;
    }
}
