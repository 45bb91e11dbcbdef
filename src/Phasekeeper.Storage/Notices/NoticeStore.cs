using System.Data;
using Dapper;
using Phasekeeper.Core.Notices;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>Subscriptions, the escalation list, and what is to be told: the items that no message has told yet.</summary>
public sealed class NoticeStore(Database database)
{
    private const string Columns = "id, person, channel, target, key, leastSeverity, kinds, quietFrom, quietTo, offsetMinutes, digestHours, digestAt, criticalAtOnce, created";

    /// <summary>All subscriptions that stand, by person and age.</summary>
    public IReadOnlyList<NoticeSubscriptionRow> Subscriptions() => Rows("WHERE ended IS NULL ORDER BY person, created, id", null);

    /// <summary>A person's subscriptions that stand, oldest first.</summary>
    public IReadOnlyList<NoticeSubscriptionRow> SubscriptionsOf(string person) => Rows("WHERE ended IS NULL AND person = @value ORDER BY created, id", person);

    /// <summary>A subscription, also one that has ended; null when there is none.</summary>
    public NoticeSubscriptionRow? Subscription(string id) => Rows("WHERE id = @value", id).SingleOrDefault();

    private IReadOnlyList<NoticeSubscriptionRow> Rows(string where, string? value) => database.Read(c =>
        c.Query<NoticeSubscriptionSql>($"SELECT {Columns} FROM noticeSubscription {where}", new { value }).Select(r => r.ToRow()).ToList());

    /// <summary>Adds a subscription.</summary>
    public static void Add(IDbTransaction transaction, NoticeSubscriptionRow row)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(row);
        transaction.Connection!.Execute(
            $"""
            INSERT INTO noticeSubscription ({Columns}) VALUES (@Id, @Person, @Channel, @Target, @Key, @LeastSeverity, @Kinds, @QuietFrom, @QuietTo, @OffsetMinutes, @DigestHours, @DigestAt, @CriticalAtOnce, @Created)
            """, NoticeSubscriptionSql.Of(row), transaction);
    }

    /// <summary>Ends a subscription: what waits for it is dropped. False when it had ended.</summary>
    public static bool End(IDbTransaction transaction, string id, Instant now)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        if (transaction.Connection!.Execute("UPDATE noticeSubscription SET ended = @now, key = NULL WHERE id = @id AND ended IS NULL", new { id, now }, transaction) == 0) return false;
        transaction.Connection!.Execute("UPDATE noticeItem SET dropped = 1 WHERE subscription = @id AND message IS NULL", new { id }, transaction);
        transaction.Connection!.Execute("UPDATE noticeMessage SET state = 'dropped', changed = @now WHERE subscription = @id AND state IN ('waiting', 'given-up')", new { id, now }, transaction);
        return true;
    }

    /// <summary>The escalation list, in the order of time.</summary>
    public IReadOnlyList<EscalationStep> Escalation() => database.Read(c => c.Query<(int AfterMinutes, string Person)>(
        "SELECT afterMinutes, person FROM noticeEscalation ORDER BY place").Select(r => new EscalationStep(r.AfterMinutes, r.Person)).ToList());

    /// <summary>Replaces the escalation list; flags that wait count from now on.</summary>
    public static void SetEscalation(IDbTransaction transaction, IReadOnlyList<EscalationStep> steps, Instant now)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        transaction.Connection!.Execute("DELETE FROM noticeEscalation", null, transaction);
        transaction.Connection!.Execute("INSERT INTO noticeEscalation (place, afterMinutes, person) VALUES (@place, @AfterMinutes, @Person)",
            steps.Select((s, place) => new { place, s.AfterMinutes, s.Person }), transaction);
        transaction.Connection!.Execute("UPDATE noticeCursor SET escalationSince = @now", new { now }, transaction);
    }

    /// <summary>The step up to which notices have been made, and since when the escalation list is as it is.</summary>
    public (long Step, Instant EscalationSince) Cursor() => database.Read(c => c.QuerySingle<(long, Instant)>("SELECT step, escalationSince FROM noticeCursor"));

    /// <summary>Critical flags that wait for a person, with the step since which they do.</summary>
    public IReadOnlyList<WaitingFlag> WaitingCriticals() => database.Read(c => c.Query<(string Flag, long Step, Instant Since)>(
        """
        SELECT w.flag, w.step, s.time FROM
            (SELECT f.id AS flag, (SELECT max(id) FROM flagStep WHERE flag = f.id AND step IN ('raise', 'reraise', 'worsen', 'reopen', 'release')) AS step
             FROM flagLife l CROSS JOIN flag f ON f.id = l.flag WHERE l.shown IN ('raised', 'reopened') AND f.severity = 'critical') w
        CROSS JOIN flagStep s ON s.id = w.step ORDER BY w.step
        """).Select(r => new WaitingFlag(r.Flag, r.Step, r.Since)).ToList());

    /// <summary>Items that no message has told yet, due by a moment.</summary>
    public IReadOnlyList<NoticeItem> DueBy(Instant now) => database.Read(c => c.Query<NoticeItemSql>(DueSql, new { now }).Select(r => r.ToItem()).ToList());

    internal const string DueSql = "SELECT subscription, key, kind, flag, severity, time, actor, note, due FROM noticeItem WHERE message IS NULL AND dropped = 0 AND due <= @now ORDER BY due";

    /// <summary>The events that a message tells; none for a trial message.</summary>
    public IReadOnlyList<NoticeEvent> EventsOf(NoticeMessageRow message)
    {
        ArgumentNullException.ThrowIfNull(message);
        return database.Read(c => c.Query<NoticeItemSql>(
            "SELECT subscription, key, kind, flag, severity, time, actor, note, due FROM noticeItem WHERE subscription = @Subscription AND message = @Id", new { message.Subscription, message.Id }).Select(r => r.ToItem().Event).ToList());
    }

    /// <summary>Number of items that wait for their time: quiet hours or a digest.</summary>
    public long WaitingItems => database.Read(c => c.ExecuteScalar<long>("SELECT count(*) FROM noticeItem WHERE message IS NULL AND dropped = 0"));

    /// <summary>Those of some items that are not there yet.</summary>
    public IReadOnlyList<NoticeItem> NotYet(IReadOnlyList<NoticeItem> items) => items.Count == 0 ? items : database.Read(c => items.Where(i =>
        !c.ExecuteScalar<bool>("SELECT EXISTS (SELECT 1 FROM noticeItem WHERE subscription = @Subscription AND key = @Key)", new { i.Subscription, i.Event.Key })).ToList());

    /// <summary>Adds the items of new events and moves the cursor, in one transaction; items that are there already stay as they are.</summary>
    public static void AddItems(IDbTransaction transaction, IEnumerable<NoticeItem> items, long step)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        transaction.Connection!.Execute(
            """
            INSERT INTO noticeItem (subscription, key, kind, flag, severity, time, actor, note, due) VALUES (@Subscription, @Key, @Kind, @Flag, @Severity, @Time, @Actor, @Note, @Due)
            ON CONFLICT DO NOTHING
            """, items.Select(NoticeItemSql.Of), transaction);
        transaction.Connection!.Execute("UPDATE noticeCursor SET step = @step WHERE step < @step", new { step }, transaction);
    }

    /// <summary>Writes what a round has made, in one transaction: messages with the items that they tell, items that wait longer, items that are dropped.</summary>
    public static void Write(IDbTransaction transaction, IReadOnlyList<(NoticeMessageRow Message, IReadOnlyList<NoticeItem> Items)> messages, NoticeRound round)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(messages);
        ArgumentNullException.ThrowIfNull(round);
        foreach (var (message, items) in messages)
        {
            NoticeQueue.Add(transaction, message);
            transaction.Connection!.Execute("UPDATE noticeItem SET message = @Id WHERE subscription = @Subscription AND key = @Key AND message IS NULL",
                items.Select(i => new { message.Id, i.Subscription, i.Event.Key }), transaction);
        }
        transaction.Connection!.Execute("UPDATE noticeItem SET due = @Due WHERE subscription = @Subscription AND key = @Key", round.Waiting.Select(i => new { i.Due, i.Subscription, i.Event.Key }), transaction);
        transaction.Connection!.Execute("UPDATE noticeItem SET dropped = 1 WHERE subscription = @Subscription AND key = @Key AND message IS NULL", round.Dropped.Select(i => new { i.Subscription, i.Event.Key }), transaction);
    }
}
