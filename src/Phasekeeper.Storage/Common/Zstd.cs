using ZstdSharp;

namespace Phasekeeper.Storage;

/// <summary>Zstandard (RFC 8878) with one setting for the whole store. Same bytes in, same bytes out.</summary>
internal static class Zstd
{
    // Chosen: level 3 is the library's default; higher levels gain under 3 % on fringe packets, whose noise does not compress.
    private const int Level = 3;

    public static byte[] Compress(ReadOnlySpan<byte> data, int level = Level)
    {
        using var compressor = new Compressor(level);
        return compressor.Wrap(data).ToArray();
    }

    /// <summary>Unpacks exactly <paramref name="length"/> bytes; anything else is damage.</summary>
    public static byte[] Decompress(ReadOnlySpan<byte> data, int length)
    {
        var target = new byte[length];
        int written;
        try
        {
            using var decompressor = new Decompressor();
            written = decompressor.Unwrap(data, target);
        }
        catch (ZstdException error)
        {
            throw new StorageException($"A compressed block of {data.Length} bytes cannot be unpacked to {length} bytes: {error.Message}", error);
        }
        if (written != length) throw StorageErrors.BlobDamaged("compressed block", $"unpacks to {written} bytes, expected {length}");
        return target;
    }
}
