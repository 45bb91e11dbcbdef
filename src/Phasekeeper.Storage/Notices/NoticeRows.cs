using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Notices;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>A message in the queue.</summary>
public sealed record NoticeMessageRow
{
    /// <summary>Id, which follows from subscription and events.</summary>
    public required string Id { get; init; }
    /// <summary>Subscription.</summary>
    public required string Subscription { get; init; }
    /// <summary>For whom.</summary>
    public required string Person { get; init; }
    /// <summary>Whether it may go out in quiet hours.</summary>
    public bool Urgent { get; init; }
    /// <summary>Subject, one line.</summary>
    public required string Subject { get; init; }
    /// <summary>Plain text.</summary>
    public string Text { get; init; } = "";
    /// <summary>HTML.</summary>
    public string Html { get; init; } = "";
    /// <summary>Body for a webhook, JSON.</summary>
    public string Json { get; init; } = "{}";
    /// <summary>One of <see cref="NoticeStates"/>.</summary>
    public string State { get; init; } = NoticeStates.Waiting;
    /// <summary>Tries so far.</summary>
    public int Attempts { get; init; }
    /// <summary>When it was made, wall clock.</summary>
    public required Instant Created { get; init; }
    /// <summary>From when giving up counts.</summary>
    public required Instant Since { get; init; }
    /// <summary>Not before then.</summary>
    public required Instant NextAttempt { get; init; }
    /// <summary>Last change.</summary>
    public required Instant Changed { get; init; }
    /// <summary>Why the last try failed; null when none did.</summary>
    public string? LastError { get; init; }
    /// <summary>email or webhook. Read only.</summary>
    public string Channel { get; init; } = "";
    /// <summary>Address. Read only.</summary>
    public string Target { get; init; } = "";
}

/// <summary>States of messages.</summary>
public static class NoticeStates
{
    /// <summary>Waits for its first or next try.</summary>
    public const string Waiting = "waiting";
    /// <summary>Is being sent.</summary>
    public const string Sending = "sending";
    /// <summary>The receiver took it.</summary>
    public const string Sent = "sent";
    /// <summary>Not tried any more; a person can ask for it.</summary>
    public const string GivenUp = "given-up";
    /// <summary>A person, or the end of its subscription, took it out.</summary>
    public const string Dropped = "dropped";
    /// <summary>All, in the order of pages.</summary>
    public static readonly IReadOnlyList<string> All = [Waiting, Sending, GivenUp, Sent, Dropped];
}

/// <summary>A subscription as it is stored.</summary>
/// <param name="Subscription">What is wanted.</param>
/// <param name="Key">A webhook's key, encrypted; null for e-mail.</param>
/// <param name="Created">When it was made, wall clock.</param>
public sealed record NoticeSubscriptionRow(NoticeSubscription Subscription, string? Key, Instant Created);

internal sealed record NoticeSubscriptionSql
{
    public string Id { get; init; } = "";
    public string Person { get; init; } = "";
    public string Channel { get; init; } = "";
    public string Target { get; init; } = "";
    public string? Key { get; init; }
    public string LeastSeverity { get; init; } = "";
    public long Kinds { get; init; }
    public int? QuietFrom { get; init; }
    public int? QuietTo { get; init; }
    public int OffsetMinutes { get; init; }
    public int? DigestHours { get; init; }
    public int? DigestAt { get; init; }
    public bool CriticalAtOnce { get; init; }
    public Instant Created { get; init; }

    public static NoticeSubscriptionSql Of(NoticeSubscriptionRow row) => new()
    {
        Id = row.Subscription.Id,
        Person = row.Subscription.Person,
        Channel = row.Subscription.Channel.ToString().ToLowerInvariant(),
        Target = row.Subscription.Target,
        Key = row.Key,
        LeastSeverity = row.Subscription.LeastSeverity.ToString().ToLowerInvariant(),
        Kinds = (long)row.Subscription.Kinds,
        QuietFrom = row.Subscription.Quiet?.FromMinute,
        QuietTo = row.Subscription.Quiet?.ToMinute,
        OffsetMinutes = row.Subscription.OffsetMinutes,
        DigestHours = row.Subscription.Digest?.EveryHours,
        DigestAt = row.Subscription.Digest?.AtHour,
        CriticalAtOnce = row.Subscription.CriticalAtOnce,
        Created = row.Created,
    };

    public NoticeSubscriptionRow ToRow() => new(new NoticeSubscription
    {
        Id = Id,
        Person = Person,
        Channel = Enum.Parse<NoticeChannel>(Channel, ignoreCase: true),
        Target = Target,
        LeastSeverity = Enum.Parse<FlagSeverity>(LeastSeverity, ignoreCase: true),
        Kinds = (NoticeKinds)Kinds,
        Quiet = QuietFrom is { } from && QuietTo is { } to ? new(from, to) : null,
        OffsetMinutes = OffsetMinutes,
        Digest = DigestHours is { } every && DigestAt is { } at ? new(every, at) : null,
        CriticalAtOnce = CriticalAtOnce,
    }, Key, Created);
}

internal sealed record NoticeItemSql
{
    public string Subscription { get; init; } = "";
    public string Key { get; init; } = "";
    public long Kind { get; init; }
    public string Flag { get; init; } = "";
    public string Severity { get; init; } = "";
    public Instant Time { get; init; }
    public string Actor { get; init; } = "";
    public string Note { get; init; } = "";
    public Instant Due { get; init; }

    public static NoticeItemSql Of(NoticeItem item) => new()
    {
        Subscription = item.Subscription,
        Key = item.Event.Key,
        Kind = (long)item.Event.Kind,
        Flag = item.Event.Flag,
        Severity = item.Event.Severity.ToString().ToLowerInvariant(),
        Time = item.Event.Time,
        Actor = item.Event.Actor,
        Note = item.Event.Note,
        Due = item.Due,
    };

    public NoticeItem ToItem() => new(Subscription, new(Key, (NoticeKinds)Kind, Flag, Enum.Parse<FlagSeverity>(Severity, ignoreCase: true), Time, Actor, Note), Due);
}
