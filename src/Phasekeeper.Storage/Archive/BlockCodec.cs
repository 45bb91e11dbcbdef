using System.Buffers.Binary;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>
/// A block: the packets of one hour and one commit, in canonical order. Two encodings, both deterministic:
/// <list type="bullet">
/// <item><b>content</b> (in the segment file, zstd): per packet time (8 bytes), APID (2), sequence count (2), length (4), then
/// the bytes of all packets; numbers little-endian, field by field, so that like compresses with like;</item>
/// <item><b>places</b> (in the index, zstd): time, APID, sequence count and 16 bytes of SHA-256 per packet, field by field. It is
/// what recognises duplicates and conflicts without opening a file; about 18 bytes a packet, since hashes do not compress.</item>
/// </list>
/// </summary>
internal static class BlockCodec
{
    private const int HeadBytes = 16;
    private const int PlaceBytes = 28;

    public static (byte[] Packed, int RawLength) PackContent(IReadOnlyList<ArchivedPacket> packets)
    {
        var n = packets.Count;
        var raw = new byte[checked(n * HeadBytes + packets.Sum(p => p.Bytes.Length))];
        var at = n * HeadBytes;
        for (var i = 0; i < n; i++)
        {
            var (place, _, bytes) = packets[i];
            BinaryPrimitives.WriteInt64LittleEndian(raw.AsSpan(i * 8), place.Time.TaiNanoseconds);
            BinaryPrimitives.WriteUInt16LittleEndian(raw.AsSpan(n * 8 + i * 2), (ushort)place.Apid);
            BinaryPrimitives.WriteUInt16LittleEndian(raw.AsSpan(n * 10 + i * 2), (ushort)place.SequenceCount);
            BinaryPrimitives.WriteInt32LittleEndian(raw.AsSpan(n * 12 + i * 4), bytes.Length);
            bytes.Span.CopyTo(raw.AsSpan(at));
            at += bytes.Length;
        }
        return (Zstd.Compress(raw), raw.Length);
    }

    public static List<ArchivedPacket> UnpackContent(ReadOnlySpan<byte> packed, int rawLength, int count, string path)
    {
        var raw = Zstd.Decompress(packed, rawLength);
        var packets = new List<ArchivedPacket>(count);
        var at = count * HeadBytes;
        for (var i = 0; i < count; i++)
        {
            var length = BinaryPrimitives.ReadInt32LittleEndian(raw.AsSpan(count * 12 + i * 4));
            if (length < 0 || at + length > raw.Length) throw StorageErrors.SegmentDamaged(path, $"packet {i} of {count} leaves its block");
            packets.Add(ArchivedPacket.Of(
                new Instant(BinaryPrimitives.ReadInt64LittleEndian(raw.AsSpan(i * 8))),
                BinaryPrimitives.ReadUInt16LittleEndian(raw.AsSpan(count * 8 + i * 2)),
                BinaryPrimitives.ReadUInt16LittleEndian(raw.AsSpan(count * 10 + i * 2)),
                raw.AsMemory(at, length)));
            at += length;
        }
        return packets;
    }

    public static byte[] PackPlaces(IReadOnlyList<ArchivedPacket> packets)
    {
        var n = packets.Count;
        var raw = new byte[checked(n * PlaceBytes)];
        for (var i = 0; i < n; i++)
        {
            BinaryPrimitives.WriteInt64LittleEndian(raw.AsSpan(i * 8), packets[i].Time.TaiNanoseconds - (i > 0 ? packets[i - 1].Time.TaiNanoseconds : 0));
            BinaryPrimitives.WriteUInt16LittleEndian(raw.AsSpan(n * 8 + i * 2), (ushort)packets[i].Place.Apid);
            BinaryPrimitives.WriteUInt16LittleEndian(raw.AsSpan(n * 10 + i * 2), (ushort)packets[i].Place.SequenceCount);
            BinaryPrimitives.WriteUInt128LittleEndian(raw.AsSpan(n * 12 + i * 16), packets[i].Hash);
        }
        return Zstd.Compress(raw);
    }

    public static IEnumerable<(PacketPlace Place, UInt128 Hash)> UnpackPlaces(byte[] packed, int count)
    {
        var raw = Zstd.Decompress(packed, checked(count * PlaceBytes));
        long time = 0;
        for (var i = 0; i < count; i++)
        {
            time += BinaryPrimitives.ReadInt64LittleEndian(raw.AsSpan(i * 8));
            yield return (new PacketPlace(new Instant(time),
                    BinaryPrimitives.ReadUInt16LittleEndian(raw.AsSpan(count * 8 + i * 2)),
                    BinaryPrimitives.ReadUInt16LittleEndian(raw.AsSpan(count * 10 + i * 2))),
                BinaryPrimitives.ReadUInt128LittleEndian(raw.AsSpan(count * 12 + i * 16)));
        }
    }
}
