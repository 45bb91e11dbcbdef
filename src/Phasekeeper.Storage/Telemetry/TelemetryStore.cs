using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>
/// Telemetry as one compressed chunk a channel and hour, with roll-ups per UTC minute and per orbit. The decode stage replaces whole
/// hours; the orbit stage replaces an orbit's roll-ups. What is stored is a function of the samples alone.
/// </summary>
public sealed partial class TelemetryStore(Database database)
{
    /// <summary>Replaces all telemetry of an hour. Times of a channel must not fall and must lie in the hour; a channel appears once.</summary>
    public static void ReplaceHour(IDbTransaction transaction, long hour, IReadOnlyList<ChannelChunk> chunks)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(chunks);
        var connection = transaction.Connection!;
        connection.Execute(
            """
            DELETE FROM telemetryMinute WHERE hour = @hour AND channel IN (SELECT channel FROM telemetryChunk WHERE hour = @hour);
            DELETE FROM telemetryChunk WHERE hour = @hour;
            DELETE FROM telemetryTime WHERE hour = @hour;
            """, new { hour }, transaction);
        // Channels of the same packets share one array of times: encode it once.
        var times = new Dictionary<long[], (long Hash, byte[] Blob)>(ReferenceEqualityComparer.Instance as IEqualityComparer<long[]>);
        var written = new HashSet<long>();
        foreach (var chunk in chunks)
        {
            var samples = chunk.Samples;
            if (samples.Count == 0) continue;
            Check(chunk, hour);
            if (!times.TryGetValue(samples.TaiNanoseconds, out var time))
            {
                var blob = TimeCodec.Encode(samples.TaiNanoseconds);
                times[samples.TaiNanoseconds] = time = (TimeCodec.HashOf(blob), blob);
            }
            if (written.Add(time.Hash))
                connection.Execute("INSERT INTO telemetryTime (hour, hash, count, times) VALUES (@hour, @Hash, @Count, @Blob)",
                    new { hour, time.Hash, samples.Count, time.Blob }, transaction);
            Insert(transaction, hour, ChannelId(transaction, chunk.Channel), samples, time.Hash);
        }
    }

    /// <summary>Computes the roll-ups of an orbit, start ≤ time &lt; end, from the stored samples, and replaces them.</summary>
    public static void ReplaceOrbit(IDbTransaction transaction, int orbit, Instant start, Instant end)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        var connection = transaction.Connection!;
        connection.Execute("DELETE FROM telemetryOrbit WHERE orbit = @orbit", new { orbit }, transaction);
        var sums = new SortedDictionary<long, MinutePart>();
        foreach (var row in connection.Query<ChunkRow>(
            """
            SELECT c.channel, c.hour, c.firstTime, c.lastTime, c.count, c.finite, c.min, c.sum, c.max,
                CASE WHEN c.firstTime < @start OR c.lastTime >= @end THEN c."values" END AS "values",
                CASE WHEN c.firstTime < @start OR c.lastTime >= @end THEN t.times END AS times
            FROM telemetryChunk c JOIN telemetryTime t ON t.hour = c.hour AND t.hash = c.timeHash
            WHERE c.hour BETWEEN @first AND @last AND c.lastTime >= @start AND c.firstTime < @end
            ORDER BY c.channel, c.hour
            """, new { start, end, first = Hour.Of(start), last = Hour.Of(end) }, transaction, buffered: false))
        {
            var part = row.Values is null
                ? new MinutePart(0, row.Finite, row.Min.OrNaN(), row.Sum.OrNaN(), row.Max.OrNaN())
                : SumOf(Within(row.Samples(), start, end));
            if (part.Count == 0) continue;
            sums[row.Channel] = sums.TryGetValue(row.Channel, out var sum) ? sum + part : part;
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

    private static void Insert(IDbTransaction transaction, long hour, long channel, ChannelSamples samples, long timeHash)
    {
        var sum = SumOf(samples);
        var known = sum.Count > 0;
        transaction.Connection!.Execute(
            """
            INSERT INTO telemetryChunk (channel, hour, timeHash, firstTime, lastTime, count, finite, min, sum, max, "values")
            VALUES (@channel, @hour, @timeHash, @firstTime, @lastTime, @Count, @finite, @min, @sum, @max, @blob);
            INSERT INTO telemetryMinute (channel, hour, minutes) VALUES (@channel, @hour, @minutes);
            """,
            new
            {
                channel,
                hour,
                timeHash,
                firstTime = samples.TaiNanoseconds[0],
                lastTime = samples.TaiNanoseconds[^1],
                samples.Count,
                finite = sum.Count,
                min = known ? sum.Min : (double?)null,
                sum = known ? sum.Sum.OrNull() : null,
                max = known ? sum.Max : (double?)null,
                blob = ValueCodec.Encode(samples),
                minutes = MinuteCodec.Encode(MinuteCodec.PartsOf(samples)),
            }, transaction);
    }

    private static void Check(ChannelChunk chunk, long hour)
    {
        var times = chunk.Samples.TaiNanoseconds;
        for (var i = 0; i < times.Length; i++)
            if (Hour.Of(times[i]) != hour || (i > 0 && times[i] < times[i - 1]))
                throw new ArgumentException(
                    $"Sample {i} of channel {chunk.Channel.Name} is at {new Instant(times[i])}; expected times that do not fall, within the hour that starts {Hour.Start(hour)}.");
    }

    private static long ChannelId(IDbTransaction transaction, TelemetryChannel channel)
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

    private static MinutePart SumOf(ChannelSamples samples)
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

    private sealed record ChunkRow
    {
        public long Channel { get; init; }
        public long Hour { get; init; }
        public Instant FirstTime { get; init; }
        public Instant LastTime { get; init; }
        public int Count { get; init; }
        public long Finite { get; init; }
        public double? Min { get; init; }
        public double? Sum { get; init; }
        public double? Max { get; init; }
        public byte[]? Values { get; init; }
        public byte[]? Times { get; init; }

        public ChannelSamples Samples() => ValueCodec.Decode(Values, TimeCodec.Decode(Times, Count));
    }
}
