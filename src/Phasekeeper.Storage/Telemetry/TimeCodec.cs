using System.Buffers.Binary;
using System.Security.Cryptography;

namespace Phasekeeper.Storage;

/// <summary>
/// Sample times as second differences (0 for an even cadence), zigzag varints, zstd. Shared by all channels of the same packets: the
/// content's hash is the key.
/// </summary>
internal static class TimeCodec
{
    public static byte[] Encode(ReadOnlySpan<long> times)
    {
        var writer = new ByteWriter();
        long previous = 0, step = 0;
        foreach (var time in times)
        {
            var newStep = unchecked(time - previous);
            writer.Signed(unchecked(newStep - step));
            (previous, step) = (time, newStep);
        }
        return Zstd.Frame(writer.ToArray());
    }

    public static long[] Decode(ReadOnlySpan<byte> framed, int count)
    {
        var reader = new ByteReader(Zstd.Unframe(framed));
        var times = new long[count];
        long previous = 0, step = 0;
        for (var i = 0; i < count; i++)
        {
            step = unchecked(step + reader.Signed());
            previous = unchecked(previous + step);
            times[i] = previous;
        }
        return times;
    }

    public static long HashOf(ReadOnlySpan<byte> framed) => BinaryPrimitives.ReadInt64LittleEndian(SHA256.HashData(framed));
}
