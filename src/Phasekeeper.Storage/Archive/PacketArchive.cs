using System.Data;
using System.Security.Cryptography;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>
/// The packets, append-only: immutable segment files under Data/archive, with an index in SQLite. When <see cref="CommitAsync"/>
/// returns, the packets are on disk, indexed, and their hours are marked to be decoded; before that, nothing of the batch counts.
/// <para>
/// Order of a commit: segment file as .part (synced) → one SQLite transaction with index, quarantine, parts, log, progress and
/// marks → rename to .seg. A kill before the transaction leaves a .part that the next start removes; after it, a .part that the next
/// start renames (readers take either name). See <see cref="ArchiveRecovery"/>.
/// </para>
/// </summary>
public sealed partial class PacketArchive : IDisposable
{
    private readonly Database database;
    private readonly SemaphoreSlim gate = new(1, 1);
    private readonly HourIndex index = new();

    /// <summary>The archive of a database's folder; call <see cref="RecoverAsync"/> before the first commit.</summary>
    public PacketArchive(Database database)
    {
        ArgumentNullException.ThrowIfNull(database);
        this.database = database;
    }

    /// <summary>Called with a name before each durable step; tests stop the process there.</summary>
    internal Action<string> BeforeStep { get; set; } = static _ => { };

    /// <summary>Commits a batch; see the class.</summary>
    public async Task<IngestResult> CommitAsync(ArchiveBatch batch, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(batch);
        await gate.WaitAsync(cancel).ConfigureAwait(false);
        try
        {
            return await CommitLockedAsync(batch, cancel).ConfigureAwait(false);
        }
        catch
        {
            index.Clear();
            throw;
        }
        finally
        {
            gate.Release();
        }
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        gate.Dispose();
        recoveryGate.Dispose();
    }

    private async Task<IngestResult> CommitLockedAsync(ArchiveBatch batch, CancellationToken cancel)
    {
        var sorted = Sort(batch);
        var segment = sorted.Fresh.Count > 0 ? Write(sorted.Fresh, sorted.JoinedHashes) : null;
        BeforeStep("commit");
        var result = await database.WriteAsync(t =>
        {
            var counted = Record(t, batch, sorted, segment);
            BeforeStep("committing");
            return counted;
        }, cancel).ConfigureAwait(false);
        BeforeStep("publish");
        if (segment is not null) Publish(segment.RelativePath);
        BeforeStep("published");
        index.Trim();
        return result;
    }

    private Sorted Sort(ArchiveBatch batch)
    {
        var sorted = new Sorted();
        using var connection = database.OpenRead();
        foreach (var packet in batch.Packets) Place(connection, packet, sorted, isJoined: false);
        foreach (var packet in batch.Joined) Place(connection, packet, sorted, isJoined: true);
        return sorted;
    }

    private void Place(IDbConnection connection, ArchivedPacket packet, Sorted sorted, bool isJoined)
    {
        var hour = index.Of(connection, Hour.Of(packet.Time));
        if (hour.Holds(packet.Hash))
        {
            if (!isJoined) sorted.Duplicates++;
            return;
        }
        sorted.Fresh.Add(packet);
        if (isJoined) sorted.JoinedHashes.Add(packet.Hash);
        var holder = hour.Add(packet.Place, packet.Hash);
        if (holder is null) return;
        // The loser may be the one that was here before: its bytes are fetched when the conflict is recorded.
        sorted.Losers.Add((packet.Place, UInt128.Max(packet.Hash, holder.Value)));
    }

    private SegmentToPublish Write(List<ArchivedPacket> fresh, HashSet<UInt128> joined)
    {
        var (content, blocks) = SegmentFile.Build(fresh);
        var sha256 = SHA256.HashData(content);
        var path = SegmentFile.RelativePath(blocks[0].FirstTime, sha256);
        BeforeStep("write");
        DurableFile.Write(FullPath(path) + SegmentFile.PartExtension, content);
        var joinedByHour = fresh.Where(p => joined.Contains(p.Hash)).GroupBy(p => Hour.Of(p.Time)).ToDictionary(g => g.Key, g => g.Count());
        return new SegmentToPublish(path, sha256, content.Length, blocks, joinedByHour);
    }

    private IngestResult Record(IDbTransaction transaction, ArchiveBatch batch, Sorted sorted, SegmentToPublish? segment)
    {
        if (segment is not null) Index(transaction, segment, batch.Now);
        var parts = RecordParts(transaction, batch);
        long quarantined = 0, known = 0;
        foreach (var entry in batch.Quarantine)
            if (QuarantineStore.Add(transaction, entry, batch.Now)) quarantined++;
            else known++;
        RecordConflicts(transaction, batch, sorted);
        var fresh = sorted.Fresh.Select(p => p.Hash).ToHashSet();
        var losers = sorted.Losers.Select(l => l.Loser).Where(fresh.Contains).ToHashSet();
        var result = new IngestResult(
            fresh.Count(h => !sorted.JoinedHashes.Contains(h) && !losers.Contains(h)) + parts.Fresh,
            sorted.Duplicates + parts.Known + known, quarantined + losers.Count, known, batch.Bytes);
        var times = batch.Packets.Concat(batch.Joined).Select(p => p.Time).ToList();
        IngestStore.Add(transaction, batch.IngestId, result.Bytes, result.Stored, result.Duplicates, result.Quarantined,
            times.Count > 0 ? times.Min() : null, times.Count > 0 ? times.Max() : null);
        if (segment is not null) WorkQueue.Mark(transaction, WorkQueue.DecodeHour, segment.Blocks.Select(b => b.Hour), batch.Now);
        if (batch.Progress is not null) IngestStore.SetProgress(transaction, batch.IngestId, batch.Progress);
        if (batch.IsLast) IngestStore.Finish(transaction, batch.IngestId, batch.Now);
        if (batch.Actor is { } actor)
            RecordStore.Append(transaction, actor, RecordKinds.PacketsReceive, batch.Source, null,
                new { Ingest = batch.IngestId, result.Bytes, result.Stored, result.Duplicates, result.Quarantined, IsLastPart = batch.IsLast }, null, batch.Now);
        return result;
    }

    private static void Index(IDbTransaction transaction, SegmentToPublish segment, Instant now)
    {
        var connection = transaction.Connection!;
        var id = connection.ExecuteScalar<long>(
            "INSERT INTO archiveSegment (path, sha256, length, created) VALUES (@RelativePath, @Sha256, @Length, @now) RETURNING id",
            new { segment.RelativePath, segment.Sha256, segment.Length, now }, transaction);
        connection.Execute(
            """
            INSERT INTO archiveBlock (segment, hour, offset, length, rawLength, count, joined, firstTime, lastTime, places)
            VALUES (@id, @Hour, @Offset, @Length, @RawLength, @Count, @joined, @FirstTime, @LastTime, @Places)
            """,
            segment.Blocks.Select(b => new
            {
                id,
                b.Hour,
                b.Offset,
                b.Length,
                b.RawLength,
                b.Count,
                joined = segment.JoinedByHour.GetValueOrDefault(b.Hour),
                b.FirstTime,
                b.LastTime,
                b.Places,
            }), transaction);
    }

    private static (long Fresh, long Known) RecordParts(IDbTransaction transaction, ArchiveBatch batch)
    {
        var connection = transaction.Connection!;
        long fresh = 0;
        foreach (var part in batch.Parts)
            fresh += connection.Execute(
                """
                INSERT INTO packetPart (hash, apid, sequence, flags, bytes, source, offset, received)
                VALUES (@hash, @Apid, @SequenceCount, @Flags, @bytes, @Source, @Offset, @Now) ON CONFLICT (hash) DO NOTHING
                """,
                new { hash = Bytes(part.Hash), part.Apid, part.SequenceCount, part.Flags, bytes = part.Bytes.ToArray(), batch.Source, part.Offset, batch.Now },
                transaction);
        connection.Execute("UPDATE packetPart SET bytes = NULL WHERE hash = @hash", batch.UsedParts.Select(h => new { hash = Bytes(h) }), transaction);
        return (fresh, batch.Parts.Count - fresh);
    }

    private void RecordConflicts(IDbTransaction transaction, ArchiveBatch batch, Sorted sorted)
    {
        foreach (var group in sorted.Losers.GroupBy(l => Hour.Of(l.Place.Time)))
        {
            // Within the transaction the index already names the new segment, whose file is on disk as .part.
            var byHash = ReadBlocks(transaction.Connection!, transaction, group.Key).ToDictionary(p => p.Hash);
            foreach (var (_, loser) in group)
                QuarantineStore.Add(transaction, ConflictEntry(byHash[loser], batch.Source), batch.Now, group.Key);
        }
    }

    /// <summary>The quarantine entry of a packet that lost its place; the same whoever finds it, whenever.</summary>
    private static QuarantineEntry ConflictEntry(ArchivedPacket loser, string source) => new(QuarantineStore.Conflict,
        $"Another packet of APID {loser.Place.Apid} with sequence count {loser.Place.SequenceCount} and time {loser.Time} has different bytes and a "
        + $"smaller SHA-256 than this one's {loser.Hash:x32}…; that one is used.",
        source, 0, loser.Bytes.Length, loser.Bytes);

    private void Publish(string relativePath) =>
        DurableFile.Rename(FullPath(relativePath) + SegmentFile.PartExtension, FullPath(relativePath) + SegmentFile.Extension);

    private string FullPath(string relativePath) => Path.Combine(database.Folder.Archive, relativePath);

    private static byte[] Bytes(UInt128 hash)
    {
        var bytes = new byte[16];
        System.Buffers.Binary.BinaryPrimitives.WriteUInt128BigEndian(bytes, hash);
        return bytes;
    }

    private sealed class Sorted
    {
        public List<ArchivedPacket> Fresh { get; } = [];
        public HashSet<UInt128> JoinedHashes { get; } = [];
        public List<(PacketPlace Place, UInt128 Loser)> Losers { get; } = [];
        public long Duplicates { get; set; }
    }

    private sealed record SegmentToPublish(
        string RelativePath, byte[] Sha256, int Length, IReadOnlyList<BlockEntry> Blocks, IReadOnlyDictionary<long, int> JoinedByHour);
}
