using System.Buffers.Binary;
using System.Globalization;
using System.Security.Cryptography;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>Where a block lies in a segment file, and what it holds.</summary>
internal sealed record BlockEntry(long Hour, int Offset, int Length, int RawLength, int Count, Instant FirstTime, Instant LastTime, byte[] Places);

/// <summary>
/// A segment file: immutable, named by the SHA-256 of its content. Layout: "PKSEG001", then block after block, each a head of 24 bytes
/// (hour 8, packed length 4, raw length 4, packets 4, mark "PBLK" 4; little-endian) and its packed content. The heads
/// let a file be read without the index.
/// <para>
/// Life of a file: written and synced as NAME.part → its index rows are committed → renamed to NAME.seg. So a .part with index rows
/// is renamed at the next start, a .part without them was never acknowledged and is removed, and a .seg without them is
/// known to have been committed once: its packets are taken in again.
/// </para>
/// </summary>
internal static class SegmentFile
{
    public const string Extension = ".seg";
    public const string PartExtension = ".part";
    private const int HeadBytes = 24;
    private static ReadOnlySpan<byte> Magic => "PKSEG001"u8;
    private const uint BlockMark = 0x4B4C4250; // "PBLK"

    /// <summary>Builds a file of blocks, one an hour; packets may come in any order.</summary>
    public static (byte[] Content, List<BlockEntry> Blocks) Build(IEnumerable<ArchivedPacket> packets)
    {
        using var content = new MemoryStream();
        content.Write(Magic);
        var blocks = new List<BlockEntry>();
        Span<byte> head = stackalloc byte[HeadBytes];
        foreach (var group in packets.GroupBy(p => Hour.Of(p.Time)).OrderBy(g => g.Key))
        {
            var sorted = group.Order(ArchivedPacket.Canonical).ToList();
            var (packed, rawLength) = BlockCodec.PackContent(sorted);
            BinaryPrimitives.WriteInt64LittleEndian(head, group.Key);
            BinaryPrimitives.WriteInt32LittleEndian(head[8..], packed.Length);
            BinaryPrimitives.WriteInt32LittleEndian(head[12..], rawLength);
            BinaryPrimitives.WriteInt32LittleEndian(head[16..], sorted.Count);
            BinaryPrimitives.WriteUInt32LittleEndian(head[20..], BlockMark);
            content.Write(head);
            blocks.Add(new BlockEntry(group.Key, checked((int)content.Length), packed.Length, rawLength, sorted.Count,
                sorted[0].Time, sorted[^1].Time, BlockCodec.PackPlaces(sorted)));
            content.Write(packed);
        }
        return (content.ToArray(), blocks);
    }

    /// <summary>Path of a file, relative to the archive folder and without an extension: YYYY/DDD/HASH, by the UTC day of its first packet.</summary>
    public static string RelativePath(Instant firstTime, ReadOnlySpan<byte> sha256)
    {
        var day = firstTime.UtcDate;
        return string.Create(CultureInfo.InvariantCulture, $"{day.Year:D4}/{day.DayOfYear:D3}/{Convert.ToHexStringLower(sha256)}");
    }

    /// <summary>Reads all packets of a file without the index.</summary>
    /// <exception cref="StorageException">The content is not what its name says, or not a segment file.</exception>
    public static List<ArchivedPacket> ReadAll(string path)
    {
        var content = File.ReadAllBytes(path);
        if (Convert.ToHexStringLower(SHA256.HashData(content)) != Path.GetFileNameWithoutExtension(path))
            throw StorageErrors.SegmentDamaged(path, "its SHA-256 is not its name");
        if (!content.AsSpan().StartsWith(Magic)) throw StorageErrors.SegmentDamaged(path, "it does not start with PKSEG001");
        var packets = new List<ArchivedPacket>();
        for (var at = Magic.Length; at < content.Length;)
        {
            var head = content.AsSpan(at, HeadBytes);
            if (BinaryPrimitives.ReadUInt32LittleEndian(head[20..]) != BlockMark) throw StorageErrors.SegmentDamaged(path, $"no block starts at byte {at}");
            var length = BinaryPrimitives.ReadInt32LittleEndian(head[8..]);
            packets.AddRange(BlockCodec.UnpackContent(content.AsSpan(at + HeadBytes, length), BinaryPrimitives.ReadInt32LittleEndian(head[12..]),
                BinaryPrimitives.ReadInt32LittleEndian(head[16..]), path));
            at += HeadBytes + length;
        }
        return packets;
    }

    /// <summary>Reads one block of the file at a path without extension; null when the file is in neither state (compaction replaced it).</summary>
    public static List<ArchivedPacket>? ReadBlock(string pathWithoutExtension, long offset, int length, int rawLength, int count)
    {
        // It may be renamed between two looks, but only once and only in one direction.
        foreach (var extension in new[] { Extension, PartExtension, Extension })
        {
            var path = pathWithoutExtension + extension;
            try
            {
                using var file = File.OpenHandle(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
                var packed = new byte[length];
                var read = 0;
                while (read < length && RandomAccess.Read(file, packed.AsSpan(read), offset + read) is var n and > 0) read += n;
                if (read < length) throw StorageErrors.SegmentDamaged(path, $"it ends before byte {offset + length}");
                return BlockCodec.UnpackContent(packed, rawLength, count, path);
            }
            catch (FileNotFoundException)
            {
                continue;
            }
            catch (DirectoryNotFoundException)
            {
                continue;
            }
        }
        return null;
    }
}
