using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>
/// The queue of messages. Each try is noted before it is made and after it: a kill in between leaves "sending", which the next start sets back to waiting, so the receiver may get the message twice, with the same id,
/// but never not at all.
/// </summary>
public sealed class NoticeQueue(Database database)
{
    private const string Columns =
        "m.id, m.subscription, m.person, m.urgent, m.subject, m.text, m.html, m.json, m.state, m.attempts, m.created, m.since, m.nextAttempt, m.changed, m.lastError, s.channel, s.target";

    private const string From = "noticeMessage m CROSS JOIN noticeSubscription s ON s.id = m.subscription";

    /// <summary>Adds a message; one that is there already stays as it is.</summary>
    public static void Add(IDbTransaction transaction, NoticeMessageRow message)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        transaction.Connection!.Execute(
            """
            INSERT INTO noticeMessage (id, subscription, person, urgent, subject, text, html, json, state, attempts, created, since, nextAttempt, changed)
            VALUES (@Id, @Subscription, @Person, @Urgent, @Subject, @Text, @Html, @Json, @State, @Attempts, @Created, @Since, @NextAttempt, @Changed) ON CONFLICT DO NOTHING
            """, message, transaction);
    }

    /// <summary>A message; null when there is none.</summary>
    public NoticeMessageRow? Get(string id) => database.Read(c => c.QuerySingleOrDefault<NoticeMessageRow>($"SELECT {Columns} FROM {From} WHERE m.id = @id", new { id }));

    /// <summary>Messages to be tried by a moment, the longest due first.</summary>
    public IReadOnlyList<NoticeMessageRow> DueBy(Instant now, int limit) => database.Read(c => c.Query<NoticeMessageRow>(
        $"SELECT {Columns} FROM {From} WHERE m.state = 'waiting' AND m.nextAttempt <= @now ORDER BY m.nextAttempt, m.id LIMIT @limit", new { now, limit }).AsList());

    /// <summary>Messages, newest first; of one state or, with null, all.</summary>
    public IReadOnlyList<NoticeMessageRow> List(string? state, int limit) => database.Read(c => c.Query<NoticeMessageRow>(
        $"SELECT {Columns} FROM {From} {(state is null ? "" : "WHERE m.state = @state")} ORDER BY m.created DESC, m.id LIMIT @limit", new { state, limit }).AsList());

    /// <summary>Messages of a person, newest first.</summary>
    public IReadOnlyList<NoticeMessageRow> OfPerson(string person, int limit) => database.Read(c => c.Query<NoticeMessageRow>(
        $"SELECT {Columns} FROM {From} WHERE m.person = @person ORDER BY m.created DESC, m.id LIMIT @limit", new { person, limit }).AsList());

    /// <summary>Number of messages in each state.</summary>
    public IReadOnlyDictionary<string, long> Counts() => database.Read(c =>
        c.Query<(string State, long Count)>("SELECT state, count(*) FROM noticeMessage GROUP BY state").ToDictionary(r => r.State, r => r.Count, StringComparer.Ordinal));

    /// <summary>Notes that a try begins; false when the message is not waiting any more.</summary>
    public static bool Begin(IDbTransaction transaction, string id, Instant now) => Change(transaction, "state = 'sending', attempts = attempts + 1, changed = @now", "id = @id AND state = 'waiting'", new { id, now }) == 1;

    /// <summary>Takes a message out before a try: nobody needs it any more.</summary>
    public static void Spare(IDbTransaction transaction, string id, string why, Instant now) =>
        Change(transaction, "state = 'dropped', lastError = @why, changed = @now", "id = @id AND state = 'waiting'", new { id, why, now });

    /// <summary>Puts a message off without a try: quiet hours have begun.</summary>
    public static void PutOff(IDbTransaction transaction, string id, Instant until) => Change(transaction, "nextAttempt = @until", "id = @id AND state = 'waiting'", new { id, until });

    /// <summary>Notes that the receiver took it.</summary>
    public static void Sent(IDbTransaction transaction, string id, Instant now) => Change(transaction, "state = 'sent', changed = @now, lastError = NULL", "id = @id AND state = 'sending'", new { id, now });

    /// <summary>Notes that a try failed.</summary>
    /// <param name="transaction">Transaction.</param>
    /// <param name="id">Message.</param>
    /// <param name="error">Why.</param>
    /// <param name="next">Next try; null = given up.</param>
    /// <param name="now">Wall clock.</param>
    public static void Failed(IDbTransaction transaction, string id, string error, Instant? next, Instant now) => Change(
        transaction, "state = CASE WHEN @next IS NULL THEN 'given-up' ELSE 'waiting' END, nextAttempt = coalesce(@next, nextAttempt), lastError = @error, changed = @now", "id = @id AND state = 'sending'", new { id, error, next, now });

    /// <summary>Sets messages back to waiting whose try was cut off by the end of the program; gives how many.</summary>
    public static int Resume(IDbTransaction transaction, Instant now) => Change(
        transaction, "state = 'waiting', changed = @now, nextAttempt = @now, lastError = 'The program ended during a try; the receiver may have got it already.'", "state = 'sending'", new { now });

    /// <summary>A person wants it tried again, now; false when there is nothing to try.</summary>
    public static bool Retry(IDbTransaction transaction, string id, Instant now) => Change(
        transaction, "state = 'waiting', nextAttempt = @now, since = @now, changed = @now",
        "id = @id AND state IN ('waiting', 'given-up') AND (SELECT ended FROM noticeSubscription WHERE id = subscription) IS NULL", new { id, now }) == 1;

    /// <summary>A person takes it out; false when it is not there to be taken out.</summary>
    public static bool Drop(IDbTransaction transaction, string id, Instant now) => Change(transaction, "state = 'dropped', changed = @now", "id = @id AND state IN ('waiting', 'given-up')", new { id, now }) == 1;

    private static int Change(IDbTransaction transaction, string set, string where, object values)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.Execute($"UPDATE noticeMessage SET {set} WHERE {where}", values, transaction);
    }
}
