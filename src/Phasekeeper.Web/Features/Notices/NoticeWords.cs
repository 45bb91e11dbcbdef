using System.Globalization;
using Phasekeeper.Core.Notices;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>How pages speak of notices.</summary>
public static class NoticeWords
{
    /// <summary>When a subscription tells: "at once; quiet 22:00 to 06:00 (UTC+1); critical at any time".</summary>
    public static string When(NoticeSubscription s)
    {
        ArgumentNullException.ThrowIfNull(s);
        var when = s.Digest switch
        {
            null => "at once",
            { EveryHours: 24 } daily => string.Create(CultureInfo.InvariantCulture, $"digest daily at {daily.AtHour:00}:00"),
            var often => string.Create(CultureInfo.InvariantCulture, $"digest every {often.EveryHours} h, at {often.AtHour % often.EveryHours:00}:00 and so on"),
        };
        if (s.Quiet is { } quiet) when += $"; quiet {Minute(quiet.FromMinute)} to {Minute(quiet.ToMinute)}";
        if (s.Quiet is not null || s.Digest is not null) when += $" ({Zone(s.OffsetMinutes)}){(s.CriticalAtOnce ? "; critical at any time" : "")}";
        return when;
    }

    /// <summary>What a subscription tells.</summary>
    public static string What(NoticeSubscription s)
    {
        ArgumentNullException.ThrowIfNull(s);
        return $"from {s.LeastSeverity.ToString().ToLowerInvariant()} on: {string.Join(", ", NoticeKindWords.Offered.Where(k => s.Kinds.HasFlag(k)).Select(NoticeKindWords.WordOf))}";
    }

    /// <summary>State of a message in words.</summary>
    public static string State(NoticeMessageRow message)
    {
        ArgumentNullException.ThrowIfNull(message);
        return message switch
        {
            { State: NoticeStates.Waiting, Attempts: > 0 } => "failed, waits for its next try",
            { State: NoticeStates.Waiting } => "waiting",
            { State: NoticeStates.Sending } => "being sent",
            { State: NoticeStates.GivenUp } => "given up",
            { State: NoticeStates.Sent } => "delivered",
            var other => other.State,
        };
    }

    private static string Zone(int minutes) => minutes == 0 ? "UTC" : string.Create(CultureInfo.InvariantCulture, $"UTC{(minutes < 0 ? '-' : '+')}{Math.Abs(minutes) / 60}:{Math.Abs(minutes) % 60:00}");

    private static string Minute(int minute) => string.Create(CultureInfo.InvariantCulture, $"{minute / 60:00}:{minute % 60:00}");
}
