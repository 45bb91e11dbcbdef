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
/// <param name="Stored">Packets in use: archived ones without the losers of conflicts; of a segmented packet each part counts.</param>
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

    /// <summary>Takes back what stopped an entry: a later try brought it to its end.</summary>
    public static void ClearError(IDbTransaction transaction, long id) =>
        transaction.Connection!.Execute("UPDATE ingest SET error = NULL WHERE id = @id", new { id }, transaction);

    /// <summary>Closes the entries of requests that a kill cut off. Inbox files go on under theirs.</summary>
    internal static void CloseCutOff(IDbTransaction transaction, Instant now) => transaction.Connection!.Execute(
        """
        UPDATE ingest SET finished = @now, error = 'The program stopped meanwhile. What is counted here is stored; send the whole again.'
        WHERE finished IS NULL AND id NOT IN (SELECT ingest FROM ingestProgress)
        """, new { now }, transaction);

    /// <summary>Says how far an inbox file is committed.</summary>
    public static void SetProgress(IDbTransaction transaction, long id, InboxProgress progress) => transaction.Connection!.Execute(
        """
        INSERT INTO ingestProgress (path, ingest, offset, sha256, done) VALUES (@Path, @id, @Offset, @Sha256, @Done)
        ON CONFLICT (path) DO UPDATE SET ingest = excluded.ingest, offset = excluded.offset, sha256 = excluded.sha256, done = excluded.done
        """, new { id, progress.Path, progress.Offset, progress.Sha256, progress.Done }, transaction);

    /// <summary>How far an inbox file is committed, with its log entry; null when nothing of it is.</summary>
    public (long IngestId, InboxProgress Progress)? Progress(string path) =>
        database.Read(c => c.QuerySingleOrDefault<ProgressRow>(
            "SELECT path, ingest, offset, sha256, done FROM ingestProgress WHERE path = @path", new { path })) is { } row
            ? (row.Ingest, new InboxProgress(row.Path, row.Offset, row.Sha256, row.Done)) : null;

    /// <summary>As <see cref="Progress(string)"/>, within a transaction.</summary>
    public static (long IngestId, InboxProgress Progress)? Progress(IDbTransaction transaction, string path) =>
        transaction.Connection!.QuerySingleOrDefault<ProgressRow>(
            "SELECT path, ingest, offset, sha256, done FROM ingestProgress WHERE path = @path", new { path }, transaction) is { } row
            ? (row.Ingest, new InboxProgress(row.Path, row.Offset, row.Sha256, row.Done)) : null;

    /// <summary>Paths with progress on record.</summary>
    public IReadOnlyList<string> PathsInProgress() => database.Read(c => c.Query<string>("SELECT path FROM ingestProgress ORDER BY path").AsList());

    /// <summary>Forgets the progress of a file that is gone from the inbox: a later file of that name is a new one.</summary>
    public static void ForgetProgress(IDbTransaction transaction, string path) =>
        transaction.Connection!.Execute("DELETE FROM ingestProgress WHERE path = @path", new { path }, transaction);

    /// <summary>One entry; null when there is none.</summary>
    public IngestRow? Get(long id) => database.Read(c => c.QuerySingleOrDefault<IngestRow>("SELECT * FROM ingest WHERE id = @id", new { id }));

    /// <summary>The log, newest first.</summary>
    public Page<IngestRow> List(int limit, string? next = null)
    {
        var before = Continuation.Read(next, 1)?[0] ?? long.MaxValue;
        return Continuation.Page(database.Read(c => c.Query<IngestRow>(
            "SELECT * FROM ingest WHERE id < @before ORDER BY id DESC LIMIT @limit + 1", new { before, limit }).AsList()), limit, r => [r.Id]);
    }

    /// <summary>Seconds from the newest packet of a batch to its ingest, of the batches whose newest packet lies in [from, to); in order.</summary>
    public IReadOnlyList<double> LatenciesS(Instant from, Instant to) => database.Read(c => c.Query<(long Received, long Last)>(
        "SELECT received, lastTime FROM ingest WHERE lastTime >= @from AND lastTime < @to ORDER BY id", new { from, to })
        .Select(r => (r.Received - r.Last) / (double)Instant.NanosecondsPerSecond).ToList());

    /// <summary>Totals, from what is stored (a kill cannot make them wrong).</summary>
    public IngestTotals Totals() => database.Read(c => c.QuerySingle<TotalsRow>(
        """
        SELECT (SELECT coalesce(sum(count - joined), 0) FROM archiveBlock)
                 - (SELECT count(*) FROM quarantine WHERE kind = 'conflict')
                 + (SELECT count(*) FROM packetPart) AS stored,
               (SELECT coalesce(sum(duplicates), 0) FROM ingest WHERE kind = 'packets') AS duplicates,
               (SELECT count(*) FROM quarantine WHERE state = 'waiting') AS quarantined,
               (SELECT coalesce(sum(bytes), 0) FROM ingest) AS bytes,
               (SELECT max(lastTime) FROM archiveBlock) AS lastPacketTime
        """)).ToTotals();

    private sealed record ProgressRow
    {
        public string Path { get; init; } = "";
        public long Ingest { get; init; }
        public long Offset { get; init; }
        public byte[] Sha256 { get; init; } = [];
        public bool Done { get; init; }
    }

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
