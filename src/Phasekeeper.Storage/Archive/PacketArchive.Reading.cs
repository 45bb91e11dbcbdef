using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

public sealed partial class PacketArchive
{
    // Compaction replaces files rarely; a reader that met one just then looks again.
    private const int LooksBeforeMissing = 3;

    /// <summary>
    /// All packets of an hour in canonical order, conflicts resolved. The result depends only on the set of packets that are stored,
    /// never on how they came.
    /// </summary>
    public PacketHour ReadHour(long hour)
    {
        using var connection = database.OpenRead();
        var all = ReadBlocks(connection, null, hour);
        all.Sort(ArchivedPacket.Canonical);
        var used = new List<ArchivedPacket>(all.Count);
        var conflicts = new List<PacketConflict>();
        foreach (var packet in all)
        {
            if (used.Count == 0 || used[^1].Place != packet.Place) used.Add(packet);
            // The same packet in two blocks cannot be: commits recognise it. Compaction in progress is one transaction.
            else if (used[^1].Hash != packet.Hash) conflicts.Add(new PacketConflict(used[^1], packet));
        }
        return new PacketHour(hour, used, conflicts);
    }

    /// <summary>Packets in use with from ≤ time &lt; to, in canonical order: of one APID, or all. For decoding one exposure's image again.</summary>
    public IEnumerable<ArchivedPacket> ReadPackets(Instant from, Instant to, int? apid = null) =>
        Hours(from, to).SelectMany(h => ReadHour(h).Used).Where(p => p.Time >= from && p.Time < to && (apid is null || p.Place.Apid == apid));

    /// <summary>Hours that hold packets with from ≤ time &lt; to, in order.</summary>
    public IReadOnlyList<long> Hours(Instant from, Instant to) => database.Read(c => c.Query<long>(
        """
        SELECT DISTINCT hour FROM archiveBlock
        WHERE hour BETWEEN @first AND @last AND lastTime >= @from AND firstTime < @to ORDER BY hour
        """, new { first = Hour.Of(from), last = Hour.Of(to), from, to }).AsList());

    /// <summary>Time of the newest packet (mission time); null when there is none.</summary>
    public Instant? LastPacketTime => database.Read(c => c.ExecuteScalar<long?>("SELECT max(lastTime) FROM archiveBlock")) is { } t ? new Instant(t) : null;

    /// <summary>Time of the earliest packet; null when there is none.</summary>
    public Instant? FirstPacketTime => database.Read(c => c.ExecuteScalar<long?>("SELECT min(firstTime) FROM archiveBlock")) is { } t ? new Instant(t) : null;

    /// <summary>Files, bytes on disk, blocks, packets and their bytes unpacked.</summary>
    public (long Files, long FileBytes, long Blocks, long Packets, long RawBytes) Size() => database.Read(c =>
        c.QuerySingle<(long, long, long, long, long)>(
            """
            SELECT (SELECT count(*) FROM archiveSegment), (SELECT coalesce(sum(length), 0) FROM archiveSegment), count(*),
                coalesce(sum(count), 0), coalesce(sum(rawLength), 0)
            FROM archiveBlock
            """));

    /// <summary>Parts of segmented packets of an APID that wait for their partners, by sequence count and hash.</summary>
    public IReadOnlyList<PacketPart> WaitingParts(int apid) => database.Read(c => c.Query<PartRow>(
        "SELECT apid, sequence, flags, bytes, offset FROM packetPart WHERE apid = @apid AND bytes IS NOT NULL ORDER BY sequence, hash",
        new { apid }).Select(r => new PacketPart(r.Apid, r.Sequence, r.Flags, r.Bytes, r.Offset)).ToList());

    /// <summary>Number of parts that wait, by APID.</summary>
    public IReadOnlyDictionary<int, long> WaitingPartCounts() => database.Read(c =>
        c.Query<(long Apid, long Count)>("SELECT apid, count(*) FROM packetPart WHERE bytes IS NOT NULL GROUP BY apid").ToDictionary(r => (int)r.Apid, r => r.Count));

    /// <summary>True when a part was received before (waiting or used).</summary>
    public bool HoldsPart(UInt128 hash) => database.Read(c =>
        c.ExecuteScalar<long>("SELECT EXISTS (SELECT 1 FROM packetPart WHERE hash = @hash)", new { hash = Bytes(hash) })) == 1;

    private List<ArchivedPacket> ReadBlocks(IDbConnection connection, IDbTransaction? transaction, long hour)
    {
        string missing = "";
        for (var look = 0; look < LooksBeforeMissing; look++)
        {
            var packets = new List<ArchivedPacket>();
            var complete = true;
            foreach (var block in connection.Query<BlockRow>(
                """
                SELECT s.path, b.offset, b.length, b.rawLength, b.count FROM archiveBlock b JOIN archiveSegment s ON s.id = b.segment
                WHERE b.hour = @hour ORDER BY b.id
                """, new { hour }, transaction))
            {
                var read = SegmentFile.ReadBlock(FullPath(block.Path), block.Offset, block.Length, block.RawLength, block.Count);
                if (read is null)
                {
                    missing = FullPath(block.Path) + SegmentFile.Extension;
                    complete = false;
                    break;
                }
                packets.AddRange(read);
            }
            if (complete) return packets;
        }
        throw StorageErrors.SegmentMissing(missing);
    }

    private sealed record BlockRow
    {
        public string Path { get; init; } = "";
        public long Offset { get; init; }
        public int Length { get; init; }
        public int RawLength { get; init; }
        public int Count { get; init; }
    }

    private sealed record PartRow
    {
        public int Apid { get; init; }
        public int Sequence { get; init; }
        public int Flags { get; init; }
        public byte[] Bytes { get; init; } = [];
        public long Offset { get; init; }
    }
}
