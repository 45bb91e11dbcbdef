using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Notices;

/// <summary>The road that a notice takes.</summary>
public enum NoticeChannel
{
    /// <summary>E-mail.</summary>
    Email,
    /// <summary>A signed HTTP request.</summary>
    Webhook,
}

/// <summary>What a person wants to be told, where, and when.</summary>
public sealed record NoticeSubscription
{
    /// <summary>Seconds that a notice waits for others of one cause (chosen: an assessment raises what belongs together within seconds, and nobody reads faster).</summary>
    public const double GatherSeconds = 30;

    /// <summary>Id.</summary>
    public required string Id { get; init; }
    /// <summary>Name of the person.</summary>
    public required string Person { get; init; }
    /// <summary>Road.</summary>
    public required NoticeChannel Channel { get; init; }
    /// <summary>E-mail address or URL.</summary>
    public required string Target { get; init; }
    /// <summary>Least severity told; mentions and escalations come whatever the severity.</summary>
    public FlagSeverity LeastSeverity { get; init; } = FlagSeverity.Warning;
    /// <summary>What is told.</summary>
    public NoticeKinds Kinds { get; init; }
    /// <summary>Quiet hours; null = none.</summary>
    public QuietHours? Quiet { get; init; }
    /// <summary>The person's clock minus UTC, minutes.</summary>
    public int OffsetMinutes { get; init; }
    /// <summary>Digest; null = each notice at once.</summary>
    public DigestPlan? Digest { get; init; }
    /// <summary>Whether what concerns a critical flag waits neither for the end of quiet hours nor for the digest.</summary>
    public bool CriticalAtOnce { get; init; }

    /// <summary>The item of an event; null when the subscription does not want it. Nobody is told of what they did themselves.</summary>
    public NoticeItem? ItemOf(NoticeEvent what)
    {
        ArgumentNullException.ThrowIfNull(what);
        if (!Kinds.HasFlag(what.Kind) || what.Actor == Person) return null;
        if (what.Concerns.Count > 0 && !what.Concerns.Contains(Person, StringComparer.Ordinal)) return null;
        if (what.Kind is not (NoticeKinds.Mention or NoticeKinds.Escalation) && what.Severity < LeastSeverity) return null;
        return new(Id, what, DueOf(what));
    }

    /// <summary>Whether an event waits neither for quiet hours nor for the digest.</summary>
    public bool IsUrgent(NoticeEvent what)
    {
        ArgumentNullException.ThrowIfNull(what);
        return CriticalAtOnce && what.Severity == FlagSeverity.Critical;
    }

    /// <summary>Whether a moment is quiet for this person.</summary>
    public bool IsQuiet(Instant now) => Quiet?.Contains(now, OffsetMinutes) ?? false;

    /// <summary>The first moment from <paramref name="now"/> on that is not quiet.</summary>
    public Instant AfterQuiet(Instant now) => Quiet?.EndAfter(now, OffsetMinutes) ?? now;

    private Instant DueOf(NoticeEvent what) => IsUrgent(what) ? what.Time.AddSeconds(GatherSeconds)
        : AfterQuiet(Digest is { } digest ? digest.NextAfter(what.Time, OffsetMinutes) : what.Time.AddSeconds(GatherSeconds));
}
