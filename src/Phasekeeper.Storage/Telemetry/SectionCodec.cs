using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Storage;

/// <summary>
/// One channel's values within a block, lossless to the bit: its sort (one byte), then
/// <list type="bullet">
/// <item><b>framed</b>: as <see cref="ValueCodec"/> packs them (texts, and real numbers of no known origin);</item>
/// <item><b>whole</b>, with labels where there are any: the number of the labels' form, then <see cref="NumberCoder"/>;</item>
/// <item><b>whole reals</b>: the same without labels, read as real numbers;</item>
/// <item><b>counts</b>: the raw numbers that the calibrator of a form makes the values of.</item>
/// </list>
/// </summary>
internal static class SectionCodec
{
    private enum Sort : byte
    {
        Framed = 0,
        Whole = 1,
        Labelled = 2,
        WholeReals = 3,
        Counts = 4,
    }

    // Real numbers all of which are whole and exact in 53 bits are stored as such; −0 is not one of them.
    private const double ExactWhole = 1L << 53;

    /// <param name="samples">The samples.</param>
    /// <param name="counts">Their raw numbers, where they have some.</param>
    /// <param name="formOf">Number of a form's bytes.</param>
    public static byte[] Encode(ChannelSamples samples, RawCounts? counts, Func<byte[], long> formOf)
    {
        var writer = new ByteWriter();
        if (samples.IsText) return Framed(writer, samples);
        if (samples.Integers is { } whole)
        {
            var labels = UsedLabels(samples);
            writer.Byte((byte)(labels.Count == 0 ? Sort.Whole : Sort.Labelled));
            if (labels.Count > 0) writer.Unsigned((ulong)formOf(TelemetryForm.Encode(labels)));
            NumberCoder.Write(writer, whole);
            return writer.ToArray();
        }
        if (Whole(samples.Values) is { } numbers)
        {
            writer.Byte((byte)Sort.WholeReals);
            NumberCoder.Write(writer, numbers);
            return writer.ToArray();
        }
        if (counts is not null && Whole(counts.Raw) is { } raw && Makes(counts.Calibrator, raw, samples.Values) && TelemetryForm.Encode(counts.Calibrator) is { } form)
        {
            writer.Byte((byte)Sort.Counts);
            writer.Unsigned((ulong)formOf(form));
            NumberCoder.Write(writer, raw);
            return writer.ToArray();
        }
        return Framed(writer, samples);
    }

    public static ChannelSamples Decode(ReadOnlySpan<byte> section, long[] times, Func<long, TelemetryForm> formOf)
    {
        var reader = new ByteReader(section);
        var sort = (Sort)reader.Byte();
        switch (sort)
        {
            case Sort.Framed:
                return ValueCodec.Decode(reader.Rest(), times);
            case Sort.Whole:
                return ChannelSamples.Whole(times, NumberCoder.Read(ref reader, times.Length));
            case Sort.Labelled:
                var labels = formOf((long)reader.Unsigned()).Labels ?? throw StorageErrors.BlobDamaged("series", "a form without labels");
                return ChannelSamples.Whole(times, NumberCoder.Read(ref reader, times.Length), labels);
            case Sort.WholeReals:
                return ChannelSamples.Real(times, Array.ConvertAll(NumberCoder.Read(ref reader, times.Length), n => (double)n));
            case Sort.Counts:
                var calibrator = formOf((long)reader.Unsigned()).Calibrator ?? throw StorageErrors.BlobDamaged("series", "a form without a calibrator");
                var raw = NumberCoder.Read(ref reader, times.Length);
                var values = new double[raw.Length];
                for (var i = 0; i < raw.Length; i++) calibrator.TryApply(raw[i], out values[i]);
                return ChannelSamples.Real(times, values);
            default:
                throw StorageErrors.BlobDamaged("series", $"sort {(byte)sort}; expected 0 to 4");
        }
    }

    private static byte[] Framed(ByteWriter writer, ChannelSamples samples)
    {
        writer.Byte((byte)Sort.Framed);
        writer.Bytes(ValueCodec.Encode(samples));
        return writer.ToArray();
    }

    // Only labels that occur: the section does not change when the definition gains one that it does not use.
    private static List<(long, string)> UsedLabels(ChannelSamples samples)
    {
        if (samples.Labels is not { Count: > 0 } labels) return [];
        return [.. samples.Integers!.Distinct().Where(labels.ContainsKey).Order().Select(w => (w, labels[w]))];
    }

    private static long[]? Whole(double[] values)
    {
        var whole = new long[values.Length];
        for (var i = 0; i < values.Length; i++)
        {
            var value = values[i];
            if (!(Math.Abs(value) <= ExactWhole) || Math.Truncate(value) != value || (value == 0 && double.IsNegative(value))) return null;
            whole[i] = (long)value;
        }
        return whole;
    }

    private static bool Makes(Calibrator calibrator, long[] raw, double[] values)
    {
        for (var i = 0; i < raw.Length; i++)
            if (!calibrator.TryApply(raw[i], out var value) || BitConverter.DoubleToInt64Bits(value) != BitConverter.DoubleToInt64Bits(values[i])) return false;
        return true;
    }
}
