using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>One unit that must be computed again.</summary>
public sealed record WorkItem
{
    /// <summary>Kind of work: the stage's name.</summary>
    public required string Kind { get; init; }
    /// <summary>Hour bucket, orbit number, or id of a file: whatever the kind counts in.</summary>
    public required long Key { get; init; }
    /// <summary>Grows with each mark; clearing needs the one that was taken.</summary>
    public required long Generation { get; init; }
    /// <summary>Higher goes first; equal ones go by key, newest first.</summary>
    public required long Priority { get; init; }
    /// <summary>Wall clock of the first mark since it was last cleared.</summary>
    public required Instant Marked { get; init; }
}

/// <summary>
/// Dirty marks. A stage takes an item, reads its inputs, and in the transaction that replaces its outputs clears the mark; a mark that
/// was set again meanwhile stays, so no change of the inputs is missed. A kill in between leaves the mark: the next start does it again.
/// </summary>
public sealed class WorkQueue(Database database)
{
    /// <summary>Work kind of the decode stage: key = hour bucket.</summary>
    public const string DecodeHour = "decodeHour";

    /// <summary>Work kind of an auxiliary file that was received but not read: key = its id.</summary>
    public const string ReadAuxiliary = "readAuxiliary";

    /// <summary>Marks units; those already marked get a new generation and the higher priority.</summary>
    public static void Mark(IDbTransaction transaction, string kind, IEnumerable<long> keys, Instant now, long priority = 0)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        var connection = transaction.Connection!;
        var generation = connection.ExecuteScalar<long>(
            """
            INSERT INTO setting (key, value) VALUES ('workGeneration', '1')
            ON CONFLICT (key) DO UPDATE SET value = CAST(CAST(value AS INTEGER) + 1 AS TEXT)
            RETURNING CAST(value AS INTEGER)
            """, transaction: transaction);
        connection.Execute(
            """
            INSERT INTO work (kind, key, generation, priority, marked) VALUES (@kind, @key, @generation, @priority, @now)
            ON CONFLICT (kind, key) DO UPDATE SET generation = excluded.generation, priority = max(priority, excluded.priority)
            """, keys.Select(key => new { kind, key, generation, priority, now }), transaction);
    }

    /// <summary>Marks one unit.</summary>
    public static void Mark(IDbTransaction transaction, string kind, long key, Instant now, long priority = 0) =>
        Mark(transaction, kind, [key], now, priority);

    /// <summary>Marks in a transaction of its own.</summary>
    public Task MarkAsync(string kind, IEnumerable<long> keys, Instant now, long priority = 0, CancellationToken cancel = default) =>
        database.WriteAsync(t => Mark(t, kind, keys, now, priority), cancel);

    /// <summary>What goes next: highest priority, then highest key (the newest). The marks stay until they are cleared.</summary>
    public IReadOnlyList<WorkItem> Peek(string kind, int limit = 1) => database.Read(c => c.Query<WorkItem>(
        """
        SELECT kind, key, generation, priority, marked FROM work
        WHERE kind = @kind ORDER BY priority DESC, key DESC LIMIT @limit
        """, new { kind, limit }).AsList());

    /// <summary>Clears a mark within the transaction that holds the unit's outputs; false when it was marked again meanwhile and stays.</summary>
    public static bool Clear(IDbTransaction transaction, WorkItem item)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(item);
        return transaction.Connection!.Execute(
            "DELETE FROM work WHERE kind = @Kind AND key = @Key AND generation = @Generation", item, transaction) == 1;
    }

    /// <summary>Takes a mark away, whichever generation it has: what it asked for is not wanted now.</summary>
    public static void Unmark(IDbTransaction transaction, string kind, long key) =>
        transaction.Connection!.Execute("DELETE FROM work WHERE kind = @kind AND key = @key", new { kind, key }, transaction);

    /// <summary>Keys from first to last (both included) that have a mark of one of the kinds, in order.</summary>
    public IReadOnlyList<long> Marked(IReadOnlyCollection<string> kinds, long first, long last) => database.Read(c =>
        c.Query<long>("SELECT DISTINCT key FROM work WHERE kind IN @kinds AND key BETWEEN @first AND @last ORDER BY key", new { kinds, first, last }).AsList());

    /// <summary>Number of marks, by kind.</summary>
    public IReadOnlyDictionary<string, long> Count() => database.Read(c =>
        c.Query<(string Kind, long Count)>("SELECT kind, count(*) FROM work GROUP BY kind").ToDictionary(r => r.Kind, r => r.Count));

    /// <summary>True when nothing is marked.</summary>
    public bool IsEmpty => database.Read(c => c.ExecuteScalar<long>("SELECT NOT EXISTS (SELECT 1 FROM work)")) == 1;
}
