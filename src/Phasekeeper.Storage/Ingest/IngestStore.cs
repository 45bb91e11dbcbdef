using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>What became of one file or request.</summary>
public sealed record IngestRow
{
    /// <summary>Id.</summary>
    public long Id { get; init; }
    /// <summary>Road and name, e.g. inbox:day-060.pkt, api, upload:day.pkt.</summary>
    public required string Source { get; init; }
    /// <summary>packets, or the format of an auxiliary file.</summary>
    public required string Kind { get; init; }
    /// <summary>Wall clock of its begin.</summary>
    public required Instant Received { get; init; }
    /// <summary>Wall clock of its end; null while it goes on (or was cut off).</summary>
    public Instant? Finished { get; init; }
    /// <summary>Bytes read.</summary>
    public long Bytes { get; init; }
    /// <summary>Packets stored.</summary>
    public long Stored { get; init; }
    /// <summary>Packets (and quarantined pieces) that were known already.</summary>
    public long Duplicates { get; init; }
    /// <summary>Pieces that went to quarantine.</summary>
    public long Quarantined { get; init; }
    /// <summary>Earliest packet time.</summary>
    public Instant? FirstTime { get; init; }
    /// <summary>Latest packet time.</summary>
    public Instant? LastTime { get; init; }
    /// <summary>What stopped it; null when nothing did.</summary>
    public string? Error { get; init; }
}

/// <summary>Totals over everything that was ever received.</summary>
/// <param name="Stored">Packets in use: archived ones without the losers of conflicts, and parts of packets that wait.</param>
/// <param name="Duplicates">Repeats that were recognised and dropped.</param>
/// <param name="Quarantined">Pieces in quarantine that wait for a person.</param>
/// <param name="Bytes">Bytes received.</param>
/// <param name="LastPacketTime">Mission time: the time of the newest accepted packet; null when there is none.</param>
public sealed record IngestTotals(long Stored, long Duplicates, long Quarantined, long Bytes, Instant? LastPacketTime);

/// <summary>The log of what came in, and how far each inbox file is committed.</summary>
public sealed class IngestStore(Database database)
{
    /// <summary>Opens an entry; gives its id.</summary>
    public static long Begin(IDbTransaction transaction, string source, string kind, Instant received) =>
        transaction.Connection!.ExecuteScalar<long>(
            """
            INSERT INTO ingest (source, kind, received, bytes, stored, duplicates, quarantined) VALUES (@source, @kind, @received, 0, 0, 0, 0)
            RETURNING id
            """, new { source, kind, received }, transaction);

    /// <summary>Adds the figures of a part.</summary>
    public static void Add(IDbTransaction transaction, long id, long bytes, long stored, long duplicates, long quarantined, Instant? firstTime, Instant? lastTime) =>
        transaction.Connection!.Execute(
            """
            UPDATE ingest SET bytes = bytes + @bytes, stored = stored + @stored, duplicates = duplicates + @duplicates,
                quarantined = quarantined + @quarantined,
                firstTime = min(coalesce(firstTime, @firstTime), coalesce(@firstTime, firstTime)),
                lastTime = max(coalesce(lastTime, @lastTime), coalesce(@lastTime, lastTime))
            WHERE id = @id
            """, new { id, bytes, stored, duplicates, quarantined, firstTime, lastTime }, transaction);

    /// <summary>Closes an entry, with what stopped it if something did.</summary>
    public static void Finish(IDbTransaction transaction, long id, Instant now, string? error = null) => transaction.Connection!.Execute(
        "UPDATE ingest SET finished = @now, error = @error WHERE id = @id", new { id, now, error }, transaction);

    /// <summary>One entry; null when there is none.</summary>
    public IngestRow? Get(long id) => database.Read(c => c.QuerySingleOrDefault<IngestRow>("SELECT * FROM ingest WHERE id = @id", new { id }));

    /// <summary>The log, newest first.</summary>
    public Page<IngestRow> List(int limit, string? next = null)
    {
        var before = Continuation.Read(next, 1)?[0] ?? long.MaxValue;
        return Continuation.Page(database.Read(c => c.Query<IngestRow>(
            "SELECT * FROM ingest WHERE id < @before ORDER BY id DESC LIMIT @limit + 1", new { before, limit }).AsList()), limit, r => [r.Id]);
    }

    /// <summary>Totals, from what is stored (a kill cannot make them wrong).</summary>
    public IngestTotals Totals() => database.Read(c => c.QuerySingle<TotalsRow>(
        """
        SELECT (SELECT coalesce(sum(count), 0) FROM archiveBlock)
                 - (SELECT count(*) FROM quarantine WHERE kind = 'conflict')
                 + (SELECT count(*) FROM packetPart WHERE bytes IS NOT NULL) AS stored,
               (SELECT coalesce(sum(duplicates), 0) FROM ingest) AS duplicates,
               (SELECT count(*) FROM quarantine WHERE state = 'waiting') AS quarantined,
               (SELECT coalesce(sum(bytes), 0) FROM ingest) AS bytes,
               (SELECT max(lastTime) FROM archiveBlock) AS lastPacketTime
        """)).ToTotals();

    private sealed record TotalsRow
    {
        public long Stored { get; init; }
        public long Duplicates { get; init; }
        public long Quarantined { get; init; }
        public long Bytes { get; init; }
        public Instant? LastPacketTime { get; init; }
        public IngestTotals ToTotals() => new(Stored, Duplicates, Quarantined, Bytes, LastPacketTime);
    }
}
