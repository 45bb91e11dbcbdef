using System.Security.Cryptography;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

public sealed partial class PacketArchive
{
    /// <summary>Blocks of an hour that are worth packing (chosen: live telemetry makes one a minute, a downlink one or two an hour).</summary>
    public const int BlocksWorthPacking = 8;

    // Chosen: bounds the memory of one packing; an hour of the largest mission has about 4 MB.
    private const long RawBytesAtOnce = 64L << 20;
    private const int HoursAtOnce = 24;

    /// <summary>
    /// Packs the small blocks of hours before <paramref name="before"/> into one block an hour, up to a day of hours in one new file,
    /// and removes the files that nothing refers to any more. Call it when intake is at rest; gives the number of hours packed (0: nothing to do).
    /// <para>
    /// Crash-safe: new file as .part → one transaction that swaps the blocks and lists the emptied files as obsolete → rename → delete.
    /// A kill leaves either the old state, or the new one with files that the next start removes. What an hour holds does not change, so
    /// nothing is marked.
    /// </para>
    /// </summary>
    public async Task<int> CompactAsync(Instant before, Instant now, CancellationToken cancel = default)
    {
        await gate.WaitAsync(cancel).ConfigureAwait(false);
        try
        {
            var hours = Scattered(before);
            if (hours.Count == 0) return 0;
            using var connection = database.OpenRead();
            var packets = hours.SelectMany(h => ReadBlocks(connection, null, h)).ToList();
            var joined = connection.Query<(long Hour, long Joined)>(
                "SELECT hour, sum(joined) FROM archiveBlock WHERE hour IN @hours GROUP BY hour", new { hours }).ToDictionary(r => r.Hour, r => (int)r.Joined);
            var (content, blocks) = SegmentFile.Build(packets);
            var sha256 = SHA256.HashData(content);
            var segment = new SegmentToPublish(SegmentFile.RelativePath(blocks[0].FirstTime, sha256), sha256, content.Length, blocks, joined);
            BeforeStep("compactWrite");
            DurableFile.Write(FullPath(segment.RelativePath) + SegmentFile.PartExtension, content);
            BeforeStep("compactCommit");
            var emptied = await database.WriteAsync(t =>
            {
                t.Connection!.Execute("DELETE FROM archiveBlock WHERE hour IN @hours", new { hours }, t);
                Index(t, segment, now);
                var gone = t.Connection!.Query<string>(
                    """
                    INSERT INTO archiveObsolete (path)
                    SELECT path FROM archiveSegment s WHERE NOT EXISTS (SELECT 1 FROM archiveBlock b WHERE b.segment = s.id)
                    RETURNING path
                    """, transaction: t).AsList();
                t.Connection!.Execute("DELETE FROM archiveSegment WHERE path IN (SELECT path FROM archiveObsolete)", transaction: t);
                return gone;
            }, cancel).ConfigureAwait(false);
            BeforeStep("compactPublish");
            Publish(segment.RelativePath);
            BeforeStep("compactDelete");
            foreach (var path in emptied) File.Delete(FullPath(path) + SegmentFile.Extension);
            await database.WriteAsync(t => t.Connection!.Execute("DELETE FROM archiveObsolete", transaction: t), cancel).ConfigureAwait(false);
            return hours.Count;
        }
        finally
        {
            gate.Release();
        }
    }

    private List<long> Scattered(Instant before)
    {
        var hours = new List<long>();
        long raw = 0;
        foreach (var (hour, rawLength) in database.Read(c => c.Query<(long, long)>(
            """
            SELECT hour, sum(rawLength) FROM archiveBlock WHERE hour < @before GROUP BY hour HAVING count(*) >= @BlocksWorthPacking
            ORDER BY hour LIMIT @HoursAtOnce
            """, new { before = Hour.Of(before), BlocksWorthPacking, HoursAtOnce })))
        {
            raw += rawLength;
            if (hours.Count > 0 && raw > RawBytesAtOnce) break;
            hours.Add(hour);
        }
        return hours;
    }
}
