using System.Globalization;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Notices;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>A subscription as a form asks for it: all text.</summary>
public sealed class SubscriptionForm
{
    /// <summary>email or webhook.</summary>
    public string? Channel { get; set; }
    /// <summary>Address.</summary>
    public string? Target { get; set; }
    /// <summary>notice, warning or critical.</summary>
    public string? Severity { get; set; }
    /// <summary>Words of <see cref="NoticeKindWords"/>.</summary>
    public List<string>? Kinds { get; set; }
    /// <summary>Hours ahead of UTC, e.g. 5.5.</summary>
    public string? Offset { get; set; }
    /// <summary>Begin of quiet hours, HH:mm; empty = none.</summary>
    public string? QuietFrom { get; set; }
    /// <summary>End of quiet hours.</summary>
    public string? QuietTo { get; set; }
    /// <summary>Hours between digests; 0 or empty = at once.</summary>
    public string? Digest { get; set; }
    /// <summary>Hour of the day of a digest.</summary>
    public string? DigestAt { get; set; }
    /// <summary>on = critical flags wait for nothing.</summary>
    public string? CriticalAtOnce { get; set; }

    /// <summary>The subscription that it asks for.</summary>
    /// <param name="id">Its id.</param>
    /// <param name="person">Whose it is.</param>
    /// <exception cref="NoticeException">Something in it is wrong.</exception>
    public NoticeSubscription Read(string id, string person)
    {
        var channel = Channel switch { "email" => NoticeChannel.Email, "webhook" => NoticeChannel.Webhook, var other => throw Bad("channel", other, "email or webhook") };
        var target = (Target ?? "").Trim();
        if ((channel == NoticeChannel.Email ? NoticeTargets.AddressMistake(target) : NoticeTargets.UrlMistake(target)) is { } mistake) throw new NoticeException(mistake);
        var kinds = (Kinds ?? []).Select(word => NoticeKindWords.Of(word) ?? throw Bad("event", word, string.Join(", ", NoticeKindWords.Offered.Select(NoticeKindWords.WordOf)))).Aggregate(NoticeKinds.None, (all, kind) => all | kind);
        if (kinds == NoticeKinds.None) throw new NoticeException("Nothing is chosen to be told. Choose at least one event.");
        var offset = OffsetOf(Offset);
        return new()
        {
            Id = id,
            Person = person,
            Channel = channel,
            Target = target,
            LeastSeverity = Severity switch { "notice" => FlagSeverity.Notice, "warning" => FlagSeverity.Warning, "critical" => FlagSeverity.Critical, var other => throw Bad("severity", other, "notice, warning or critical") },
            Kinds = kinds,
            OffsetMinutes = offset,
            Quiet = QuietOf(QuietFrom, QuietTo),
            Digest = DigestOf(Digest, DigestAt),
            CriticalAtOnce = CriticalAtOnce == "on",
        };
    }

    // From the International Date Line to beyond it; all zones are whole quarters of an hour.
    private static int OffsetOf(string? text) => string.IsNullOrWhiteSpace(text) ? 0
        : decimal.TryParse(text, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var hours) && hours is >= -12 and <= 14 && hours * 4 % 1 == 0 ? (int)(hours * 60)
        : throw Bad("hours ahead of UTC", text, "-12 to 14 in quarters, such as 5.5");

    private static QuietHours? QuietOf(string? from, string? to)
    {
        if (string.IsNullOrWhiteSpace(from) && string.IsNullOrWhiteSpace(to)) return null;
        var (begin, end) = (MinuteOf(from), MinuteOf(to));
        return begin == end ? throw new NoticeException("Quiet hours begin and end at the same time. Leave both empty for none.") : new(begin, end);
    }

    private static int MinuteOf(string? text) => TimeOnly.TryParseExact(text, ["HH:mm", "HH:mm:ss"], CultureInfo.InvariantCulture, DateTimeStyles.None, out var time) ? time.Hour * 60 + time.Minute
        : throw Bad("time of quiet hours", text, "both times as 22:00, or none");

    private static DigestPlan? DigestOf(string? every, string? at)
    {
        if (string.IsNullOrWhiteSpace(every) || every == "0") return null;
        if (!int.TryParse(every, NumberStyles.None, CultureInfo.InvariantCulture, out var hours) || !DigestPlan.Choices.Contains(hours)) throw Bad("hours between digests", every, string.Join(", ", DigestPlan.Choices));
        var hour = 8;
        if (!string.IsNullOrWhiteSpace(at) && (!int.TryParse(at, NumberStyles.None, CultureInfo.InvariantCulture, out hour) || hour > 23)) throw Bad("hour of the digest", at, "0 to 23");
        return new(hours, hour);
    }

    private static NoticeException Bad(string what, string? found, string expected) => new($"Found the {what} '{NoticeText.OneLine(found ?? "", 60)}'; expected {expected}.");
}
