using System.Collections.Immutable;
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
/// <para>
/// A unit that failed is set aside: its mark stays in the store, and <see cref="Peek"/>, <see cref="Count"/> and <see cref="IsEmpty"/> pass it over until it is marked again, until <see cref="TryAgain"/>, or until
/// the next start, which knows of nothing set aside.
/// </para>
/// </summary>
public sealed class WorkQueue(Database database)
{
    // Read and replaced as a whole; few, and mostly none.
    private ImmutableDictionary<(string Kind, long Key), SetAsideWork> aside = ImmutableDictionary<(string Kind, long Key), SetAsideWork>.Empty;

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

    /// <summary>What goes next: highest priority, then highest key (the newest). The marks stay until they are cleared. What is set aside is passed over.</summary>
    public IReadOnlyList<WorkItem> Peek(string kind, int limit = 1)
    {
        var failed = aside;
        var more = failed.IsEmpty ? 0 : failed.Keys.Count(k => k.Kind == kind);
        var items = database.Read(c => c.Query<WorkItem>(
            """
            SELECT kind, key, generation, priority, marked FROM work
            WHERE kind = @kind ORDER BY priority DESC, key DESC LIMIT @limit
            """, new { kind, limit = (long)limit + more }).AsList());
        return more == 0 ? items : [.. items.Where(i => !IsAside(failed, i)).Take(limit)];
    }

    /// <summary>Sets a unit aside that failed; its mark stays.</summary>
    public void SetAside(SetAsideWork work)
    {
        ArgumentNullException.ThrowIfNull(work);
        ImmutableInterlocked.AddOrUpdate(ref aside, (work.Item.Kind, work.Item.Key), work, (_, _) => work);
    }

    /// <summary>Whether an item is set aside.</summary>
    public bool IsAside(WorkItem item) => IsAside(aside, item);

    /// <summary>Units that are set aside and whose marks still stand as they were, by kind and key.</summary>
    public IReadOnlyList<SetAsideWork> Aside()
    {
        var failed = aside;
        if (failed.IsEmpty) return [];
        return database.Read(c => failed.Values.Where(w => c.ExecuteScalar<long>("SELECT EXISTS (SELECT 1 FROM work WHERE kind = @Kind AND key = @Key AND generation = @Generation)", w.Item) == 1)
            .OrderBy(w => w.Item.Kind, StringComparer.Ordinal).ThenBy(w => w.Item.Key).ToArray());
    }

    /// <summary>Forgets what was set aside: it is tried again. Gives how many units.</summary>
    public int TryAgain()
    {
        var count = Aside().Count;
        Interlocked.Exchange(ref aside, aside.Clear());
        return count;
    }

    private static bool IsAside(ImmutableDictionary<(string Kind, long Key), SetAsideWork> failed, WorkItem item) =>
        failed.TryGetValue((item.Kind, item.Key), out var work) && work.Item.Generation == item.Generation;

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

    /// <summary>Number of marks, by kind; what is set aside does not count.</summary>
    public IReadOnlyDictionary<string, long> Count()
    {
        var counts = database.Read(c => c.Query<(string Kind, long Count)>("SELECT kind, count(*) FROM work GROUP BY kind").ToDictionary(r => r.Kind, r => r.Count));
        foreach (var work in Aside())
            if (counts.TryGetValue(work.Item.Kind, out var count) && count > 1) counts[work.Item.Kind] = count - 1;
            else counts.Remove(work.Item.Kind);
        return counts;
    }

    /// <summary>True when nothing is marked but what is set aside.</summary>
    public bool IsEmpty => aside.IsEmpty ? database.Read(c => c.ExecuteScalar<long>("SELECT NOT EXISTS (SELECT 1 FROM work)")) == 1 : Count().Count == 0;
}

/// <summary>A unit of work that failed, with what was wrong.</summary>
/// <param name="Item">The mark as it was taken.</param>
/// <param name="Error">What was found, one line.</param>
/// <param name="Time">Wall clock of the failure.</param>
public sealed record SetAsideWork(WorkItem Item, string Error, Instant Time);
