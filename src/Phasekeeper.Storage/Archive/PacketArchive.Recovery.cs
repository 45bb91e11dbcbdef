using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>What a start found unfinished in the archive.</summary>
/// <param name="Published">Committed files that got their final name.</param>
/// <param name="Removed">Files removed: never acknowledged, or replaced by compaction.</param>
/// <param name="Adopted">Files of which the index knew nothing (an older database): their packets were taken in again.</param>
/// <param name="AdoptedPackets">New packets that came with them.</param>
/// <param name="Missing">Files that the index names and the disk lacks.</param>
public sealed record ArchiveRecovery(int Published, int Removed, int Adopted, long AdoptedPackets, IReadOnlyList<string> Missing);

public sealed partial class PacketArchive
{
    private readonly SemaphoreSlim recoveryGate = new(1, 1);
    private ArchiveRecovery? recovered;

    /// <summary>As <see cref="RecoverAsync"/>, done by whoever comes first; later callers wait for it and get the same answer.</summary>
    public async Task<ArchiveRecovery> RecoverOnceAsync(Instant now, CancellationToken cancel = default)
    {
        if (recovered is { } done) return done;
        await recoveryGate.WaitAsync(cancel).ConfigureAwait(false);
        try
        {
            return recovered ??= await RecoverAsync(now, cancel).ConfigureAwait(false);
        }
        finally
        {
            recoveryGate.Release();
        }
    }

    /// <summary>
    /// Finishes what a kill interrupted; call it once at the start, before intake. Also rebuilds the index when the database is
    /// new or older than the archive: a .seg file that the index does not know was committed once, so its packets are taken in again.
    /// </summary>
    public async Task<ArchiveRecovery> RecoverAsync(Instant now, CancellationToken cancel = default)
    {
        var known = database.Read(c => c.Query<string>("SELECT path FROM archiveSegment")).ToHashSet(StringComparer.Ordinal);
        var obsolete = database.Read(c => c.Query<string>("SELECT path FROM archiveObsolete")).ToHashSet(StringComparer.Ordinal);
        int published = 0, removed = 0, adopted = 0;
        long adoptedPackets = 0;
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (var file in Directory.EnumerateFiles(database.Folder.Archive, "*", SearchOption.AllDirectories).Order(StringComparer.Ordinal).ToList())
        {
            cancel.ThrowIfCancellationRequested();
            var name = Path.ChangeExtension(Path.GetRelativePath(database.Folder.Archive, file), null).Replace('\\', '/');
            switch (Path.GetExtension(file))
            {
                case SegmentFile.PartExtension when known.Contains(name):
                    Publish(name);
                    seen.Add(name);
                    published++;
                    break;
                case SegmentFile.PartExtension:
                    File.Delete(file);
                    removed++;
                    break;
                case SegmentFile.Extension when known.Contains(name):
                    seen.Add(name);
                    break;
                case SegmentFile.Extension when obsolete.Contains(name):
                    File.Delete(file);
                    removed++;
                    break;
                case SegmentFile.Extension:
                    adoptedPackets += await AdoptAsync(file, name, now, cancel).ConfigureAwait(false);
                    adopted++;
                    break;
            }
        }
        await database.WriteAsync(t =>
        {
            t.Connection!.Execute("DELETE FROM archiveObsolete", transaction: t);
            IngestStore.CloseCutOff(t, now);
        }, cancel).ConfigureAwait(false);
        return new ArchiveRecovery(published, removed, adopted, adoptedPackets, known.Except(seen).Order(StringComparer.Ordinal).ToList());
    }

    // The packets that are new go into a segment of their own; the file itself stays when it is that very segment (same packets, same
    // bytes, same name), and goes otherwise. Repeats are not counted as duplicates: nobody sent them.
    private async Task<long> AdoptAsync(string file, string name, Instant now, CancellationToken cancel)
    {
        var packets = SegmentFile.ReadAll(file);
        var id = await database.WriteAsync(t => IngestStore.Begin(t, $"archive:{name}", "packets", now), cancel).ConfigureAwait(false);
        var sorted = new Sorted();
        await gate.WaitAsync(cancel).ConfigureAwait(false);
        try
        {
            using (var connection = database.OpenRead())
                foreach (var packet in packets) Place(connection, packet, sorted, isJoined: false);
            sorted.Duplicates = 0;
            var segment = sorted.Fresh.Count > 0 ? Write(sorted.Fresh, sorted.JoinedHashes) : null;
            var batch = new ArchiveBatch { IngestId = id, Source = $"archive:{name}", Now = now, Bytes = 0, IsLast = true };
            await database.WriteAsync(t => Record(t, batch, sorted, segment), cancel).ConfigureAwait(false);
            if (segment is not null) Publish(segment.RelativePath);
            if (segment?.RelativePath != name) File.Delete(file);
            index.Trim();
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
        return sorted.Fresh.Count;
    }
}
