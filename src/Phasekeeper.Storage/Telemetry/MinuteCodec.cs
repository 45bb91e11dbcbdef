using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>
/// Finite samples of one UTC minute within one hour bucket. Buckets are of TAI, so a minute may lie in two: each holds its part, with
/// the sum instead of the mean, and readers put them together.
/// </summary>
internal readonly record struct MinutePart(long UtcMinute, long Count, double Min, double Sum, double Max)
{
    public static long MinuteOf(long taiNanoseconds)
    {
        var (day, nanoseconds) = new Instant(taiNanoseconds).ToUnixDay();
        // A leap second belongs to the last minute of its day.
        return day * 1440 + Math.Min(nanoseconds / (60 * Instant.NanosecondsPerSecond), 1439);
    }

    public static Instant StartOf(long utcMinute)
    {
        var day = utcMinute >= 0 ? utcMinute / 1440 : -((-(utcMinute + 1)) / 1440) - 1;
        return Instant.FromUnixDay(day, (utcMinute - day * 1440) * 60 * Instant.NanosecondsPerSecond);
    }

    public static MinutePart operator +(MinutePart a, MinutePart b) =>
        new(a.UtcMinute, a.Count + b.Count, Math.Min(a.Min, b.Min), a.Sum + b.Sum, Math.Max(a.Max, b.Max));
}

/// <summary>Minutes of a channel and hour: numbers as differences, extremes and sums as byte planes, zstd.</summary>
internal static class MinuteCodec
{
    public static List<MinutePart> PartsOf(ChannelSamples samples)
    {
        var parts = new List<MinutePart>();
        var current = default(MinutePart);
        var end = long.MinValue;
        for (var i = 0; i < samples.Count; i++)
        {
            var value = samples.Values[i];
            if (!double.IsFinite(value)) continue;
            var time = samples.TaiNanoseconds[i];
            if (time < end)
            {
                current += new MinutePart(current.UtcMinute, 1, value, value, value);
                continue;
            }
            if (current.Count > 0) parts.Add(current);
            current = new MinutePart(MinutePart.MinuteOf(time), 1, value, value, value);
            end = MinutePart.StartOf(current.UtcMinute + 1).TaiNanoseconds;
        }
        if (current.Count > 0) parts.Add(current);
        return parts;
    }

    public static byte[] Encode(List<MinutePart> parts)
    {
        var writer = new ByteWriter();
        writer.Unsigned((ulong)parts.Count);
        long previous = 0;
        foreach (var part in parts)
        {
            writer.Signed(part.UtcMinute - previous);
            writer.Unsigned((ulong)part.Count);
            previous = part.UtcMinute;
        }
        foreach (var select in (Func<MinutePart, double>[])[p => p.Min, p => p.Sum, p => p.Max])
            writer.Planes([.. parts.Select(p => BitConverter.DoubleToUInt64Bits(select(p)))]);
        return Zstd.Frame(writer.ToArray());
    }

    public static MinutePart[] Decode(ReadOnlySpan<byte> framed)
    {
        var reader = new ByteReader(Zstd.Unframe(framed));
        var parts = new MinutePart[checked((int)reader.Unsigned())];
        long previous = 0;
        for (var i = 0; i < parts.Length; i++)
        {
            previous += reader.Signed();
            parts[i] = new MinutePart(previous, (long)reader.Unsigned(), 0, 0, 0);
        }
        var min = reader.Planes(parts.Length);
        var sum = reader.Planes(parts.Length);
        var max = reader.Planes(parts.Length);
        for (var i = 0; i < parts.Length; i++)
            parts[i] = parts[i] with
            {
                Min = BitConverter.UInt64BitsToDouble(min[i]),
                Sum = BitConverter.UInt64BitsToDouble(sum[i]),
                Max = BitConverter.UInt64BitsToDouble(max[i]),
            };
        return parts;
    }
}
