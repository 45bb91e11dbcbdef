namespace Phasekeeper.Storage;

/// <summary>Which channels a block holds: their number, then for each, by rising id, the difference to the last id and the length of its section.</summary>
internal static class TelemetryDirectory
{
    public static byte[] Encode(IReadOnlyList<(long Channel, int Length)> sections)
    {
        var writer = new ByteWriter();
        writer.Unsigned((ulong)sections.Count);
        long previous = 0;
        foreach (var (channel, length) in sections)
        {
            writer.Unsigned((ulong)(channel - previous));
            writer.Unsigned((ulong)length);
            previous = channel;
        }
        return writer.ToArray();
    }

    public static List<(long Channel, int Offset, int Length)> Decode(ReadOnlySpan<byte> blob)
    {
        var reader = new ByteReader(blob);
        var sections = new List<(long, int, int)>();
        long channel = 0;
        var offset = 0;
        for (var left = reader.Unsigned(); left > 0; left--)
        {
            channel += (long)reader.Unsigned();
            var length = checked((int)reader.Unsigned());
            sections.Add((channel, offset, length));
            offset += length;
        }
        return sections;
    }

    /// <summary>A channel's section; empty when the block does not hold the channel.</summary>
    public static ReadOnlySpan<byte> Find(ReadOnlySpan<byte> blob, ReadOnlySpan<byte> sections, long wanted)
    {
        var reader = new ByteReader(blob);
        long channel = 0;
        var offset = 0;
        for (var left = reader.Unsigned(); left > 0; left--)
        {
            channel += (long)reader.Unsigned();
            var length = checked((int)reader.Unsigned());
            if (channel == wanted) return length <= sections.Length - offset ? sections.Slice(offset, length) : throw StorageErrors.BlobDamaged("block", "it ends early");
            if (channel > wanted) break;
            offset += length;
        }
        return default;
    }
}
