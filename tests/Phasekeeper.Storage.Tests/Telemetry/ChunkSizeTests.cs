using Phasekeeper.Core.Time;
using Xunit.Abstractions;

namespace Phasekeeper.Storage.Tests.Telemetry;

/// <summary>
/// Size of typical housekeeping: 20 channels (slow temperatures, voltages with noise, counters, states) for one hour, times
/// included. The figures are printed; the bar is one byte a sample.
/// </summary>
public sealed class ChunkSizeTests(ITestOutputHelper output)
{
    [Theory]
    [InlineData(1)]
    [InlineData(10)]
    public void Typical_housekeeping_takes_at_most_a_byte_a_sample(int cadenceS)
    {
        const double bar = 1.0;
        var (values, times, samples) = Sizes(cadenceS);
        var perSample = (values + times) / (double)samples;
        output.WriteLine($"{cadenceS} s cadence: {perSample:F3} bytes a sample ({values} of values, {times} of times, {samples} samples)");
        Assert.True(perSample <= bar, $"{perSample:F3} bytes a sample; expected at most {bar}");
    }

    private static (int Values, int Times, int Samples) Sizes(int cadenceS)
    {
        var n = 3600 / cadenceS;
        var start = Hour.Start(Hour.Of(Instant.FromUtc(2031, 3, 1, 12))).TaiNanoseconds;
        var times = Enumerable.Range(0, n).Select(i => start + (long)(i * cadenceS) * Instant.NanosecondsPerSecond + i % 7 * 1_000_000).ToArray();
        int values = 0, samples = 0;
        foreach (var channel in Channels(n, cadenceS))
        {
            values += ValueCodec.Encode(ChannelSamples.Real(times, channel)).Length;
            samples += n;
        }
        return (values, TimeCodec.Encode(times).Length, samples);
    }

    private static IEnumerable<double[]> Channels(int n, int cadenceS)
    {
        var random = new Random(5);
        double Noise() => random.NextDouble() + random.NextDouble() + random.NextDouble() - 1.5;
        for (var c = 0; c < 8; c++)
        {
            // Temperatures: linear calibration of a 12-bit count, one orbit's swing, noise of a count.
            var (swing, phase) = (40 + 30 * c, c * 0.7);
            yield return [.. Enumerable.Range(0, n).Select(i => -55.3 + 0.0473 * Math.Round(1800 + swing * Math.Sin(2 * Math.PI * i * cadenceS / 5760 + phase) + Noise()))];
        }
        for (var c = 0; c < 3; c++)
            // A thermistor's curved calibration.
            yield return [.. Enumerable.Range(0, n).Select(i => Curve(Math.Round(1800 + 25 * Math.Sin(2 * Math.PI * i * cadenceS / 5760 + c) + Noise())))];
        for (var c = 0; c < 4; c++)
            yield return [.. Enumerable.Range(0, n).Select(_ => 0.01221 * Math.Round(2290 + 2 * Noise()))];
        for (var c = 0; c < 2; c++) yield return [.. Enumerable.Range(0, n).Select(i => (double)(1000 + i))];
        for (var c = 0; c < 3; c++) yield return [.. Enumerable.Range(0, n).Select(i => i * cadenceS / 1700 % 2 == c % 2 ? 1.0 : 0.0)];
    }

    private static double Curve(double count) => 61.27 - 0.0391 * count + 3.02e-6 * count * count - 2.1e-10 * count * count * count;
}
