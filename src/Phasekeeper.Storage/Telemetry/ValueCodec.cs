namespace Phasekeeper.Storage;

/// <summary>
/// Values of one channel and hour, lossless to the bit (NaN payloads and −0 included). Several encodings are tried and the shortest is
/// kept (the first of equals), so the same values always give the same bytes:
/// <list type="bullet">
/// <item><b>whole</b>: differences of 64-bit integers;</item>
/// <item><b>steps</b>: v ≈ a + b·k, as a calibrated counter gives: differences of k, and the few last-bit differences between a + b·k and v;</item>
/// <item><b>dictionary</b>: the different values in order, and differences of their numbers (curved calibrations);</item>
/// <item><b>xor</b>: each value's bits against the last one's, byte by byte (anything else).</item>
/// </list>
/// All are packed with zstd.
/// </summary>
internal static class ValueCodec
{
    private enum Encoding : byte
    {
        Whole = 1,
        Steps = 2,
        Dictionary = 3,
        Xor = 4,
    }

    // Real numbers all of which are whole and exact in 53 bits are stored as such; −0 is not one of them.
    private const double ExactWhole = 1L << 53;
    private const int WholeIntegers = 0, RealNumbers = 1, Texts = 2;

    public static byte[] Encode(ChannelSamples samples)
    {
        var head = new ByteWriter();
        head.Byte((byte)(samples.IsText ? Texts : samples.Integers is null ? RealNumbers : WholeIntegers));
        WriteLabels(head, samples);
        byte[]? best = null;
        foreach (var (encoding, body) in Candidates(samples))
        {
            var framed = Zstd.Frame([.. head.ToArray(), (byte)encoding, .. body]);
            if (best is null || framed.Length < best.Length) best = framed;
        }
        return best!;
    }

    public static ChannelSamples Decode(ReadOnlySpan<byte> framed, long[] times)
    {
        var reader = new ByteReader(Zstd.Unframe(framed));
        var kind = reader.Byte();
        var labels = ReadLabels(ref reader);
        var encoding = (Encoding)reader.Byte();
        if (encoding == Encoding.Whole)
        {
            var whole = ReadDifferences(ref reader, times.Length);
            var values = Array.ConvertAll(whole, w => (double)w);
            return kind == RealNumbers ? ChannelSamples.Real(times, values) : new ChannelSamples(times, values, whole, labels, kind == Texts);
        }
        return ChannelSamples.Real(times, encoding switch
        {
            Encoding.Steps => ReadSteps(ref reader, times.Length),
            Encoding.Dictionary => ReadDictionary(ref reader, times.Length),
            Encoding.Xor => ReadXor(ref reader, times.Length),
            _ => throw StorageErrors.BlobDamaged("series", $"encoding {(byte)encoding}; expected 1 to 4"),
        });
    }

    private static IEnumerable<(Encoding, byte[])> Candidates(ChannelSamples samples)
    {
        if (samples.Integers is { } integers)
        {
            yield return (Encoding.Whole, Differences(integers));
            yield break;
        }
        var values = samples.Values;
        if (Array.TrueForAll(values, v => Math.Abs(v) <= ExactWhole && Math.Truncate(v) == v && !(v == 0 && double.IsNegative(v))))
        {
            yield return (Encoding.Whole, Differences(Array.ConvertAll(values, v => (long)v)));
            yield break;
        }
        if (Steps(values) is { } steps) yield return (Encoding.Steps, steps);
        if (Dictionary(values) is { } dictionary) yield return (Encoding.Dictionary, dictionary);
        yield return (Encoding.Xor, Xor(values));
    }

    private static void WriteLabels(ByteWriter writer, ChannelSamples samples)
    {
        // Only labels that occur: the chunk does not change when the definition gains one that it does not use.
        var used = samples.Integers is { } whole && samples.Labels is { } labels
            ? whole.Distinct().Where(labels.ContainsKey).Order().Select(w => (w, labels[w])).ToList() : [];
        writer.Unsigned((ulong)used.Count);
        foreach (var (number, label) in used)
        {
            writer.Signed(number);
            writer.Text(label);
        }
    }

    private static Dictionary<long, string>? ReadLabels(ref ByteReader reader)
    {
        var count = checked((int)reader.Unsigned());
        if (count == 0) return null;
        var labels = new Dictionary<long, string>(count);
        for (var i = 0; i < count; i++)
        {
            var number = reader.Signed();
            labels[number] = reader.Text();
        }
        return labels;
    }

    private static byte[] Differences(ReadOnlySpan<long> numbers)
    {
        var writer = new ByteWriter();
        WriteDifferences(writer, numbers);
        return writer.ToArray();
    }

    private static void WriteDifferences(ByteWriter writer, ReadOnlySpan<long> numbers)
    {
        long previous = 0;
        foreach (var number in numbers)
        {
            writer.Signed(unchecked(number - previous));
            previous = number;
        }
    }

    private static long[] ReadDifferences(ref ByteReader reader, int count)
    {
        var numbers = new long[count];
        long previous = 0;
        for (var i = 0; i < count; i++) numbers[i] = previous = unchecked(previous + reader.Signed());
        return numbers;
    }

    private static byte[]? Steps(double[] values)
    {
        if (StepGrid.Find(values) is not { } grid) return null;
        var writer = new ByteWriter();
        writer.Unsigned(BitConverter.DoubleToUInt64Bits(grid.Origin));
        writer.Unsigned(BitConverter.DoubleToUInt64Bits(grid.Step));
        var steps = Array.ConvertAll(values, grid.IndexOf);
        WriteDifferences(writer, steps);
        for (var i = 0; i < values.Length; i++)
            writer.Signed(unchecked(BitConverter.DoubleToInt64Bits(values[i]) - BitConverter.DoubleToInt64Bits(grid.ValueAt(steps[i]))));
        return writer.ToArray();
    }

    private static double[] ReadSteps(ref ByteReader reader, int count)
    {
        var origin = BitConverter.UInt64BitsToDouble(reader.Unsigned());
        var grid = new StepGrid(origin, BitConverter.UInt64BitsToDouble(reader.Unsigned()));
        var steps = ReadDifferences(ref reader, count);
        var values = new double[count];
        for (var i = 0; i < count; i++)
            values[i] = BitConverter.Int64BitsToDouble(unchecked(BitConverter.DoubleToInt64Bits(grid.ValueAt(steps[i])) + reader.Signed()));
        return values;
    }

    private static byte[]? Dictionary(double[] values)
    {
        // Ordered by bits, made to sort as the numbers do: neighbours in value get neighbouring numbers.
        var bits = Array.ConvertAll(values, Ordered);
        var distinct = bits.Distinct().Order().ToArray();
        if (distinct.Length > values.Length / 2) return null;
        var writer = new ByteWriter();
        writer.Unsigned((ulong)distinct.Length);
        long previous = 0, step = 0;
        foreach (var entry in distinct)
        {
            var newStep = unchecked(entry - previous);
            writer.Signed(unchecked(newStep - step));
            (previous, step) = (entry, newStep);
        }
        WriteDifferences(writer, Array.ConvertAll(bits, b => (long)Array.BinarySearch(distinct, b)));
        return writer.ToArray();
    }

    private static double[] ReadDictionary(ref ByteReader reader, int count)
    {
        var distinct = new double[checked((int)reader.Unsigned())];
        long previous = 0, step = 0;
        for (var i = 0; i < distinct.Length; i++)
        {
            step = unchecked(step + reader.Signed());
            previous = unchecked(previous + step);
            distinct[i] = Unordered(previous);
        }
        return Array.ConvertAll(ReadDifferences(ref reader, count), i => distinct[i]);
    }

    private static byte[] Xor(double[] values)
    {
        var words = new ulong[values.Length];
        ulong previous = 0;
        for (var i = 0; i < values.Length; i++)
        {
            var bits = BitConverter.DoubleToUInt64Bits(values[i]);
            words[i] = bits ^ previous;
            previous = bits;
        }
        var writer = new ByteWriter();
        writer.Planes(words);
        return writer.ToArray();
    }

    private static double[] ReadXor(ref ByteReader reader, int count)
    {
        ulong previous = 0;
        return Array.ConvertAll(reader.Planes(count), word => BitConverter.UInt64BitsToDouble(previous ^= word));
    }

    private static long Ordered(double value)
    {
        var bits = BitConverter.DoubleToInt64Bits(value);
        return bits >= 0 ? bits : bits ^ long.MaxValue;
    }

    private static double Unordered(long ordered) => BitConverter.Int64BitsToDouble(ordered >= 0 ? ordered : ordered ^ long.MaxValue);
}
