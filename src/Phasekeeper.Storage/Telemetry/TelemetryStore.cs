using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>
/// Telemetry in one block an hour and set of channels that share their times (a housekeeping packet's), with roll-ups per hour and orbit, and per UTC minute where samples are many. The decode
/// stage replaces whole hours; the orbit stage replaces an orbit's roll-ups. What is stored is a function of the samples alone.
/// </summary>
public sealed partial class TelemetryStore(Database database)
{
    /// <summary>Replaces all telemetry of an hour. Times of a channel must not fall and must lie in the hour; a channel appears once.</summary>
    public static void ReplaceHour(IDbTransaction transaction, long hour, IReadOnlyList<ChannelChunk> chunks)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(chunks);
        using var writer = new HourWriter(transaction, hour);
        writer.Write(chunks);
    }

    /// <summary>Computes the roll-ups of an orbit, start ≤ time &lt; end, from the stored samples, and replaces them.</summary>
    public static void ReplaceOrbit(IDbTransaction transaction, int orbit, Instant start, Instant end)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        var connection = transaction.Connection!;
        connection.Execute("DELETE FROM telemetryOrbit WHERE orbit = @orbit", new { orbit }, transaction);
        var sums = new SortedDictionary<long, MinutePart>();
        var known = new TelemetryForms();
        foreach (var block in connection.Query<BlockRow>(
            """
            SELECT hour, part, count, channels, times, sections FROM telemetryBlock WHERE hour BETWEEN @first AND @last AND lastTime >= @start AND firstTime < @end ORDER BY hour, part
            """, new { start, end, first = Hour.Of(start), last = Hour.Of(end) }, transaction, buffered: false))
        {
            var times = TimeCodec.Decode(block.Times, block.Count);
            foreach (var (channel, offset, length) in TelemetryDirectory.Decode(block.Channels))
            {
                var samples = SectionCodec.Decode(block.Sections.AsSpan(offset, length), times, id => known.Get(id, connection, transaction));
                var part = SumOf(Within(samples, start, end));
                if (part.Count > 0) sums[channel] = sums.TryGetValue(channel, out var sum) ? sum + part : part;
            }
        }
        connection.Execute(
            """
            INSERT INTO telemetryOrbit (channel, orbit, start, min, mean, max, count) VALUES (@channel, @orbit, @start, @Min, @mean, @Max, @Count)
            """,
            sums.Select(s => new { channel = s.Key, orbit, start, s.Value.Min, mean = s.Value.Sum / s.Value.Count, s.Value.Max, s.Value.Count }),
            transaction);
    }

    /// <summary>Sets unit, description and role of channels, also of those without samples yet.</summary>
    public static void SetChannels(IDbTransaction transaction, IEnumerable<TelemetryChannel> channels)
    {
        ArgumentNullException.ThrowIfNull(channels);
        foreach (var channel in channels) ChannelId(transaction, channel);
    }

    internal static void Check(ChannelChunk chunk, long hour)
    {
        var times = chunk.Samples.TaiNanoseconds;
        for (var i = 0; i < times.Length; i++)
            if (Hour.Of(times[i]) != hour || (i > 0 && times[i] < times[i - 1]))
                throw new ArgumentException(
                    $"Sample {i} of channel {chunk.Channel.Name} is at {new Instant(times[i])}; expected times that do not fall, within the hour that starts {Hour.Start(hour)}.");
    }

    internal static long ChannelId(IDbTransaction transaction, TelemetryChannel channel)
    {
        var connection = transaction.Connection!;
        // Reading first keeps the common case (nothing new) free of writes.
        var known = connection.QuerySingleOrDefault<long?>(
            "SELECT id FROM channel WHERE name = @Name AND unit = @Unit AND description = @Description AND role IS @Role", channel, transaction);
        return known ?? connection.ExecuteScalar<long>(
            """
            INSERT INTO channel (name, unit, description, role) VALUES (@Name, @Unit, @Description, @Role)
            ON CONFLICT (name) DO UPDATE SET unit = excluded.unit, description = excluded.description, role = excluded.role RETURNING id
            """, channel, transaction);
    }

    internal static MinutePart SumOf(ChannelSamples samples)
    {
        long count = 0;
        double min = double.PositiveInfinity, sum = 0, max = double.NegativeInfinity;
        foreach (var value in samples.Values)
        {
            if (!double.IsFinite(value)) continue;
            count++;
            sum += value;
            min = Math.Min(min, value);
            max = Math.Max(max, value);
        }
        return new MinutePart(0, count, min, sum, max);
    }

    private static ChannelSamples Within(ChannelSamples samples, Instant from, Instant to) =>
        samples.Slice(LowerBound(samples.TaiNanoseconds, from.TaiNanoseconds), LowerBound(samples.TaiNanoseconds, to.TaiNanoseconds));

    // First index whose time is not earlier.
    private static int LowerBound(long[] times, long time)
    {
        int low = 0, high = times.Length;
        while (low < high)
        {
            var middle = (low + high) / 2;
            if (times[middle] < time) low = middle + 1;
            else high = middle;
        }
        return low;
    }

    private sealed record BlockRow
    {
        public long Hour { get; init; }
        public long Part { get; init; }
        public int Count { get; init; }
        public byte[] Channels { get; init; } = [];
        public byte[] Times { get; init; } = [];
        public byte[] Sections { get; init; } = [];
    }
}
