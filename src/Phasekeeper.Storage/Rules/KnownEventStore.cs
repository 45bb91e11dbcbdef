using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>Events that people know of, with the rule that should find them. Appended; what was noted wrongly is withdrawn and stays.</summary>
public sealed class KnownEventStore(Database database)
{
    private const string Columns = """e.id, e.rule, e."from", e."to", e.what, e.note, e.actor, e.role, e.time""";

    /// <summary>Adds an event; gives its id.</summary>
    public static long Add(IDbTransaction transaction, KnownEventRow known)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.ExecuteScalar<long>(
            """INSERT INTO knownEvent (rule, "from", "to", what, note, actor, role, time) VALUES (@Rule, @From, @To, @What, @Note, @Actor, @Role, @Time) RETURNING id""", known, transaction);
    }

    /// <summary>Withdraws an event; false when there is none, or it is withdrawn already.</summary>
    public static bool Withdraw(IDbTransaction transaction, long id, Actor actor, Instant now, string reason)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(actor);
        return transaction.Connection!.Execute(
            """
            INSERT INTO knownEventWithdrawal (event, actor, role, time, reason)
            SELECT id, @Name, @Role, @now, @reason FROM knownEvent WHERE id = @id AND NOT EXISTS (SELECT 1 FROM knownEventWithdrawal w WHERE w.event = @id)
            """, new { id, actor.Name, actor.Role, now, reason }, transaction) == 1;
    }

    /// <summary>An event that is not withdrawn; null when there is none. Within a transaction.</summary>
    public static KnownEventRow? Get(IDbTransaction transaction, long id)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.QuerySingleOrDefault<KnownEventRow>(
            $"SELECT {Columns} FROM knownEvent e WHERE e.id = @id AND NOT EXISTS (SELECT 1 FROM knownEventWithdrawal w WHERE w.event = e.id)", new { id }, transaction);
    }

    /// <summary>Events that are not withdrawn, of one rule or all, that touch [from, to); by their start.</summary>
    public IReadOnlyList<KnownEventRow> List(string? rule, Instant from, Instant to) => database.Read(c => c.Query<KnownEventRow>(
        $"""
        SELECT {Columns} FROM knownEvent e
        WHERE (@rule IS NULL OR e.rule = @rule) AND e."from" < @to AND e."to" > @from AND NOT EXISTS (SELECT 1 FROM knownEventWithdrawal w WHERE w.event = e.id) ORDER BY e."from", e.id
        """, new { rule, from, to }).AsList());
}
