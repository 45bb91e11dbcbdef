using FsCheck.Xunit;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage.Tests.Telemetry;

public sealed class ValueCodecTests
{
    [Property(MaxTest = 200)]
    public void Any_real_numbers_come_back_bit_by_bit(double[] values)
    {
        double[] odd = [.. values, double.NaN, BitConverter.Int64BitsToDouble(0x7FF8_0000_DEAD_BEEF), 0.0, -0.0, double.Epsilon, double.MaxValue,
            double.NegativeInfinity, double.PositiveInfinity];
        foreach (var series in new[] { values, odd, [.. odd.Concat(odd).Concat(odd)] })
            Assert.Equal(Bits(series), Bits(RoundTrip(ChannelSamples.Real(Times(series.Length), series)).Values));
    }

    [Property(MaxTest = 200)]
    public void Any_whole_numbers_and_their_labels_come_back(long[] numbers)
    {
        long[] all = [.. numbers, long.MinValue, long.MaxValue, 0, -1];
        var back = RoundTrip(ChannelSamples.Whole(Times(all.Length), all, new Dictionary<long, string> { [0] = "OFF", [-1] = "Ωn", [77777] = "unused" }));
        Assert.Equal(all, back.Integers);
        Assert.Equal("OFF", back.LabelAt(all.Length - 2));
        Assert.Equal("Ωn", back.LabelAt(all.Length - 1));
        Assert.False(back.IsText);
    }

    [Property(MaxTest = 200)]
    public void Calibrated_counts_come_back_bit_by_bit(short[] counts, double offset, double slope)
    {
        var values = Array.ConvertAll(counts, c => offset + slope * c);
        Assert.Equal(Bits(values), Bits(RoundTrip(ChannelSamples.Real(Times(values.Length), values)).Values));
    }

    [Property(MaxTest = 200)]
    public void Any_times_come_back(long[] times) =>
        Assert.Equal(times, TimeCodec.Decode(TimeCodec.Encode(times), times.Length));

    [Fact]
    public void Texts_come_back()
    {
        string[] texts = ["SAFE", "", "NOMINAL", "SAFE", "Ångström"];
        var back = RoundTrip(ChannelSamples.Text(Times(5), texts));
        Assert.True(back.IsText);
        Assert.Equal(texts, Enumerable.Range(0, 5).Select(back.LabelAt));
    }

    [Theory]
    [InlineData(0x00, "encoding 0")]
    [InlineData(0x09, "encoding 9")]
    public void An_unknown_encoding_is_an_error(byte encoding, string found) => Assert.Contains(found,
        Assert.Throws<StorageException>(() => ValueCodec.Decode(Zstd.Frame([1, 0, encoding]), [])).Message, StringComparison.Ordinal);

    [Fact]
    public void Bytes_that_end_early_are_an_error()
    {
        var blob = ValueCodec.Encode(ChannelSamples.Real(Times(100), Enumerable.Range(0, 100).Select(i => Math.Sin(i)).ToArray()));
        Assert.Throws<StorageException>(() => ValueCodec.Decode(blob.AsSpan(0, blob.Length / 2), Times(100)));
        Assert.Throws<StorageException>(() => ValueCodec.Decode(blob, Times(200)));
    }

    internal static long[] Times(int count) =>
        [.. Enumerable.Range(0, count).Select(i => Instant.FromUtc(2031, 3, 1).TaiNanoseconds + i * Instant.NanosecondsPerSecond)];

    internal static long[] Bits(double[] values) => Array.ConvertAll(values, BitConverter.DoubleToInt64Bits);

    private static ChannelSamples RoundTrip(ChannelSamples samples)
    {
        var blob = ValueCodec.Encode(samples);
        Assert.Equal(blob, ValueCodec.Encode(samples));
        return ValueCodec.Decode(blob, samples.TaiNanoseconds);
    }
}
