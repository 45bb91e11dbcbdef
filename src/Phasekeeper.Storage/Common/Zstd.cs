using System.Buffers.Binary;
using ZstdSharp;

namespace Phasekeeper.Storage;

/// <summary>Zstandard (RFC 8878) with one setting for the whole store. Same bytes in, same bytes out.</summary>
internal static class Zstd
{
    // Chosen: level 3 is the library's default; higher levels gain under 3 % on fringe packets, whose noise does not compress.
    private const int Level = 3;

    // Making a context costs more than packing a small chunk with it; a context may serve one thread at a time.
    [ThreadStatic] private static Compressor? threadCompressor;
    [ThreadStatic] private static Decompressor? threadDecompressor;

    public static byte[] Compress(ReadOnlySpan<byte> data) => (threadCompressor ??= new Compressor(Level)).Wrap(data).ToArray();

    /// <summary>Packs with the unpacked length in front (4 bytes, little-endian).</summary>
    public static byte[] Frame(ReadOnlySpan<byte> data)
    {
        var packed = (threadCompressor ??= new Compressor(Level)).Wrap(data);
        var framed = new byte[sizeof(int) + packed.Length];
        BinaryPrimitives.WriteInt32LittleEndian(framed, data.Length);
        packed.CopyTo(framed.AsSpan(sizeof(int)));
        return framed;
    }

    /// <summary>Unpacks what <see cref="Frame"/> made.</summary>
    public static byte[] Unframe(ReadOnlySpan<byte> framed)
    {
        if (framed.Length < sizeof(int)) throw StorageErrors.BlobDamaged("compressed block", $"{framed.Length} bytes");
        return Decompress(framed[sizeof(int)..], BinaryPrimitives.ReadInt32LittleEndian(framed));
    }

    /// <summary>Unpacks exactly <paramref name="length"/> bytes; anything else is damage.</summary>
    public static byte[] Decompress(ReadOnlySpan<byte> data, int length)
    {
        if (length < 0) throw StorageErrors.BlobDamaged("compressed block", $"a length of {length} bytes");
        var target = new byte[length];
        int written;
        try
        {
            written = (threadDecompressor ??= new Decompressor()).Unwrap(data, target);
        }
        catch (ZstdException error)
        {
            throw new StorageException($"A compressed block of {data.Length} bytes cannot be unpacked to {length} bytes: {error.Message}", error);
        }
        if (written != length) throw StorageErrors.BlobDamaged("compressed block", $"unpacks to {written} bytes, expected {length}");
        return target;
    }
}
