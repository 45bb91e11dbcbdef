using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>
/// What could not be used waits here, with its bytes, for a person: look, download, retry after a fix of the definition, or discard.
/// The same piece is one item however often it comes; a discarded one stays discarded.
/// </summary>
public sealed class QuarantineStore(Database database)
{
    /// <summary>Bytes kept of one piece (chosen: 1 MiB, sixteen times the longest packet); of a larger one the first.</summary>
    public const int LargestKept = 1 << 20;

    /// <summary>Kind of a packet that lost its place to another with a smaller SHA-256.</summary>
    public const string Conflict = "conflict";

    /// <summary>Kind of an orbit, attitude or activity file with mistakes.</summary>
    public const string RefusedFile = "refusedFile";

    /// <summary>State of an item that waits for a person.</summary>
    public const string Waiting = "waiting";

    /// <summary>State of an item that a retry took out.</summary>
    public const string Retried = "retried";

    /// <summary>State of an item that a person discarded.</summary>
    public const string Discarded = "discarded";

    private const string Columns = "id, received, source, offset, length, kind, reason, state, hour, kept";

    /// <summary>Adds a piece; false when it is there already (one that a retry took out waits again).</summary>
    public static bool Add(IDbTransaction transaction, QuarantineEntry entry, Instant received, long? hour = null)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(entry);
        var connection = transaction.Connection!;
        if (connection.Execute(
                "UPDATE quarantine SET state = CASE state WHEN 'retried' THEN 'waiting' ELSE state END WHERE hash = @Hash", entry, transaction) > 0) return false;
        var kept = entry.Bytes[..Math.Min(entry.Bytes.Length, LargestKept)];
        connection.Execute(
            """
            INSERT INTO quarantine (hash, received, source, offset, length, kind, reason, state, hour, bytes, kept)
            VALUES (@Hash, @received, @Source, @Offset, @Length, @Kind, @Reason, 'waiting', @hour, @bytes, @kept)
            """,
            new
            {
                entry.Hash,
                received,
                entry.Source,
                entry.Offset,
                entry.Length,
                entry.Kind,
                entry.Reason,
                hour = hour ?? (entry.Near is { } near ? Hour.Of(near) : null),
                bytes = Zstd.Compress(kept.Span),
                kept = kept.Length,
            }, transaction);
        return true;
    }

    /// <summary>
    /// Replaces what decoding an hour found of one kind: items that are still found keep their id and state, those that are not
    /// (a better definition explains them) go, new ones are added.
    /// </summary>
    public static void ReplaceHour(IDbTransaction transaction, long hour, string kind, IReadOnlyList<QuarantineEntry> entries, Instant received)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(entries);
        var connection = transaction.Connection!;
        var found = entries.Select(e => Convert.ToHexString(e.Hash)).ToHashSet();
        var gone = connection.Query<(long Id, byte[] Hash)>(
            "SELECT id, hash FROM quarantine WHERE hour = @hour AND kind = @kind", new { hour, kind }, transaction)
            .Where(r => !found.Contains(Convert.ToHexString(r.Hash)));
        connection.Execute("DELETE FROM quarantine WHERE id = @id", gone.Select(r => new { id = r.Id }), transaction);
        foreach (var entry in entries)
        {
            if (entry.Kind != kind) throw new ArgumentException($"An entry of kind {entry.Kind} was given to replace those of kind {kind}.", nameof(entries));
            Add(transaction, entry, received, hour);
        }
    }

    /// <summary>One item; null when there is none.</summary>
    public QuarantineRow? Get(long id) => database.Read(c => c.QuerySingleOrDefault<QuarantineRow>(
        $"SELECT {Columns} FROM quarantine WHERE id = @id", new { id }));

    /// <summary>The bytes kept of an item.</summary>
    /// <exception cref="KeyNotFoundException">No such item.</exception>
    public byte[] Bytes(long id)
    {
        var (bytes, kept) = database.Read(c => c.QuerySingleOrDefault<(byte[]?, long)>("SELECT bytes, kept FROM quarantine WHERE id = @id", new { id }));
        return Zstd.Decompress(bytes ?? throw StorageErrors.NotFound("quarantine item", id), checked((int)kept));
    }

    /// <summary>Items received in [from, to), newest first; of one state and kind, or all.</summary>
    public Page<QuarantineRow> List(Instant from, Instant to, int limit, string? next = null, string? state = null, string? kind = null)
    {
        var before = Continuation.Read(next, 1)?[0] ?? long.MaxValue;
        return Continuation.Page(database.Read(c => c.Query<QuarantineRow>(
            $"""
            SELECT {Columns} FROM quarantine
            WHERE id < @before AND received >= @from AND received < @to AND (@state IS NULL OR state = @state) AND (@kind IS NULL OR kind = @kind)
            ORDER BY id DESC LIMIT @limit + 1
            """, new { before, from, to, state, kind, limit }).AsList()), limit, r => [r.Id]);
    }

    /// <summary>What could not be decoded next to packets of [from, to): number of items by hour and kind, conflicts left out; discarded items count, they did arrive.</summary>
    public IReadOnlyList<(Instant Time, string Kind, int Count)> ByHour(Instant from, Instant to) => database.Read(c => c.Query<(long Hour, string Kind, long Count)>(
        """
        SELECT hour, kind, count(*) FROM quarantine
        WHERE hour BETWEEN @first AND @last AND kind <> @conflict AND state <> 'retried' GROUP BY hour, kind ORDER BY hour, kind
        """, new { first = Hour.Of(from), last = Hour.Of(new Instant(to.TaiNanoseconds - 1)), conflict = Conflict })
        .Select(r => (Hour.Start(r.Hour) < from ? from : Hour.Start(r.Hour), r.Kind, (int)r.Count)).ToList());

    /// <summary>Number of items by kind, of one state.</summary>
    public IReadOnlyDictionary<string, long> CountByKind(string state = Waiting) => database.Read(c =>
        c.Query<(string Kind, long Count)>("SELECT kind, count(*) FROM quarantine WHERE state = @state GROUP BY kind", new { state })
            .ToDictionary(r => r.Kind, r => r.Count));

    /// <summary>Marks an item as taken out by a retry that succeeded.</summary>
    public static void SetRetried(IDbTransaction transaction, long id) => Move(transaction, id, Retried);

    /// <summary>Discards an item: it stays on record and is not shown as waiting.</summary>
    public static void Discard(IDbTransaction transaction, long id) => Move(transaction, id, Discarded);

    private static void Move(IDbTransaction transaction, long id, string to)
    {
        var connection = transaction.Connection!;
        var state = connection.QuerySingleOrDefault<string>("SELECT state FROM quarantine WHERE id = @id", new { id }, transaction)
            ?? throw StorageErrors.NotFound("quarantine item", id);
        if (state != Waiting) throw StorageErrors.WrongState("quarantine item", id, state, Waiting);
        connection.Execute("UPDATE quarantine SET state = @to WHERE id = @id", new { id, to }, transaction);
    }
}
