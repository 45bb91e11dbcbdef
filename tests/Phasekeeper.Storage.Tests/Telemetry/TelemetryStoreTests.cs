using FsCheck.Xunit;
using Phasekeeper.Core.Time;
using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Storage.Tests.Telemetry;

public sealed class TelemetryStoreTests
{
    private static readonly TelemetryChannel Temperature = new("IFO_T1", "degC", "Interferometer", "interferometerTemperature");
    private static readonly Instant Start = Instant.FromUtc(2031, 3, 1, 6, 17, 5);

    [Property(MaxTest = 10)]
    public void Raw_minutes_and_orbits_are_what_all_samples_say(int seed)
    {
        var (times, values) = Series(seed, hours: 4, gap: true);
        using var temp = Filled(times, values);
        var store = temp.Stores.Telemetry;
        var (from, to) = (Start.AddSeconds(911), Start.AddSeconds(3 * 3600 + 7));
        var inside = Enumerable.Range(0, times.Length).Where(i => times[i] >= from.TaiNanoseconds && times[i] < to.TaiNanoseconds).ToList();

        var raw = store.Read("IFO_T1", from, to);
        Assert.Equal(inside.Select(i => times[i]), raw.TaiNanoseconds);
        Assert.Equal(ValueCodecTests.Bits([.. inside.Select(i => values[i])]), ValueCodecTests.Bits(raw.Values));

        var minutes = store.Minutes("IFO_T1", Start, Start.AddSeconds(4 * 3600));
        var expected = Enumerable.Range(0, times.Length).Where(i => double.IsFinite(values[i]))
            .GroupBy(i => new Instant(times[i]).ToString()[..16]).Where(g => Instant.ParseUtc(g.Key) >= Start)
            .Select(g => (Start: Instant.ParseUtc(g.Key), Min: g.Min(i => values[i]), Mean: g.Average(i => values[i]), Max: g.Max(i => values[i]), Count: (long)g.Count())).ToList();
        Assert.Equal(expected.Select(e => (e.Start, e.Min, e.Max, e.Count)), minutes.Select(m => (m.Start, m.Min, m.Max, m.Count)));
        Assert.All(expected.Zip(minutes), p => Assert.Equal(p.First.Mean, p.Second.Mean, 1e-9));

        temp.Write(t => TelemetryStore.ReplaceOrbit(t, 7, from, to)).GetAwaiter().GetResult();
        var (orbit, rollUp) = Assert.Single(store.Orbits("IFO_T1", Start, to));
        var finite = inside.Select(i => values[i]).Where(double.IsFinite).ToList();
        Assert.Equal((7, finite.Min(), finite.Max(), finite.Count), (orbit, rollUp.Min, rollUp.Max, (int)rollUp.Count));
        Assert.Equal(finite.Average(), rollUp.Mean, 1e-9);
        Assert.Equal(from, rollUp.Start);
    }

    [Property(MaxTest = 10)]
    public void A_decimated_stretch_keeps_the_extremes_of_every_column(int seed)
    {
        var (times, values) = Series(seed, hours: 6, gap: false);
        using var temp = Filled(times, values);
        foreach (var (maxPoints, level) in new[] { (100000, "raw"), (2000, "samples"), (100, "minutes"), (4, "hours") })
        {
            var series = temp.Stores.Telemetry.Decimated("IFO_T1", Start, Start.AddSeconds(6 * 3600), maxPoints);
            Assert.Equal(level, series.Level);
            Assert.True(series.Points.Count <= maxPoints);
            var finite = values.Where(double.IsFinite).ToList();
            Assert.Equal(finite.Min(), series.Points.Min(p => p.Min));
            Assert.Equal(finite.Max(), series.Points.Max(p => p.Max));
            Assert.Equal(finite.Count, series.Points.Sum(p => p.Count));
            Assert.Equal(finite.Average(), series.Points.Sum(p => p.Mean * p.Count) / finite.Count, 1e-9);
            Assert.Equal(series.Points.Select(p => p.Start.TaiNanoseconds).Order(), series.Points.Select(p => p.Start.TaiNanoseconds));
        }
    }

    [Fact]
    public void Pages_put_together_are_the_whole_list()
    {
        var (times, values) = Series(3, hours: 2, gap: true);
        using var temp = Filled(times, values);
        var all = new List<ChannelSample>();
        string? next = null;
        do
        {
            var page = temp.Stores.Telemetry.List("IFO_T1", Start, Start.AddSeconds(7200), 97, next);
            all.AddRange(page.Items);
            next = page.Next;
        }
        while (next is not null);
        Assert.Equal(times, all.Select(s => s.Time.TaiNanoseconds));
        Assert.Equal(ValueCodecTests.Bits(values), ValueCodecTests.Bits([.. all.Select(s => s.Value)]));
    }

    [Fact]
    public async Task Pages_go_on_where_they_were_when_samples_come_late()
    {
        // Several samples of one moment, in one hour, with a page that ends between them.
        var hour = Hour.Of(Start.TaiNanoseconds);
        var start = Hour.Start(hour).TaiNanoseconds;
        long[] times = [start, start + 10, start + 10, start + 10, start + 20, start + 30];
        using var temp = Filled(times, [1, 2, 3, 4, 5, 6]);
        ChannelSamples Page(int limit, ref string? next)
        {
            var page = temp.Stores.Telemetry.List("IFO_T1", new(start), new(start + 1000), limit, next);
            next = page.Next;
            return ChannelSamples.Real([.. page.Items.Select(i => i.Time.TaiNanoseconds)], [.. page.Items.Select(i => i.Value)]);
        }
        string? next = null;
        Assert.Equal([1, 2, 3], Page(3, ref next).Values);
        await temp.Write(t => TelemetryStore.ReplaceHour(t, hour,
            [new ChannelChunk(Temperature, ChannelSamples.Real([start, start + 3, start + 5, .. times[1..4], start + 15, .. times[4..]], [1, 1.3, 1.5, 2, 3, 4, 4.5, 5, 6]))]));
        Assert.Equal([4, 4.5], Page(2, ref next).Values);
        Assert.Equal([5, 6], Page(2, ref next).Values);
        Assert.Null(next);
    }

    [Fact]
    public async Task A_replaced_hour_forgets_what_it_held()
    {
        var (times, values) = Series(4, hours: 1, gap: false);
        using var temp = Filled(times, values);
        var hour = Hour.Of(times[0]);
        long[] one = [times[0] + 5];
        await temp.Write(t => TelemetryStore.ReplaceHour(t, hour, [new ChannelChunk(new TelemetryChannel("NEW"), ChannelSamples.Whole(one, [3]))]));
        Assert.DoesNotContain(temp.Stores.Telemetry.Read("IFO_T1", Start, Start.AddSeconds(7200)).TaiNanoseconds, t => Hour.Of(t) == hour);
        Assert.Equal(1, temp.Stores.Telemetry.Channel("NEW")!.Count);
        Assert.Equal(["IFO_T1", "NEW"], temp.Stores.Telemetry.Channels().Select(c => c.Name));
    }

    [Fact]
    public async Task Channels_know_their_ends_and_are_active_in_the_hours_that_they_have()
    {
        using var temp = new TempStores();
        long At(long h, int s) => Hour.Start(h).TaiNanoseconds + s * Instant.NanosecondsPerSecond;
        var hour = Hour.Of(Start);
        foreach (var h in new[] { hour, hour + 30, hour + 80 })
            await temp.Write(t => TelemetryStore.ReplaceHour(t, h, [new ChannelChunk(Temperature, ChannelSamples.Real([At(h, 7), At(h, 9)], [1.25, 2]))]));
        bool Active(long first, long last) => temp.Stores.Telemetry.Active(Hour.Start(first), Hour.Start(last)).Count > 0;
        Assert.True(Active(hour, hour));
        Assert.False(Active(hour + 1, hour + 29));
        Assert.True(Active(hour + 1, hour + 30));
        Assert.True(Active(hour + 1, hour + 79));
        Assert.False(Active(hour + 81, hour + 200));
        var row = temp.Stores.Telemetry.Channel("IFO_T1")!;
        Assert.Equal((At(hour, 7), At(hour + 80, 9), 6L), (row.FirstTime!.Value.TaiNanoseconds, row.LastTime!.Value.TaiNanoseconds, row.Count));
        Assert.Equal(At(hour + 30, 9), temp.Stores.Telemetry.LastBefore("IFO_T1", Hour.Start(hour + 79), Hour.Start(hour))!.Value.Time.TaiNanoseconds);
        Assert.Null(temp.Stores.Telemetry.LastBefore("IFO_T1", Hour.Start(hour + 79), Hour.Start(hour + 40)));

        await temp.Write(t => TelemetryStore.ReplaceHour(t, hour, []));
        row = temp.Stores.Telemetry.Channel("IFO_T1")!;
        Assert.Equal((At(hour + 30, 7), 4L), (row.FirstTime!.Value.TaiNanoseconds, row.Count));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    public async Task Counts_come_back_as_the_values_that_a_calibrator_made_of_them_or_else_as_they_are(double error)
    {
        using var temp = new TempStores();
        var hour = Hour.Of(Start);
        var random = new Random(8);
        var raw = Enumerable.Range(0, 360).Select(i => Math.Round(900 + 40 * Math.Sin(i / 50.0) + 6 * random.NextDouble())).ToArray();
        var times = raw.Select((_, i) => Hour.Start(hour).TaiNanoseconds + 10L * i * Instant.NanosecondsPerSecond).ToArray();
        (TelemetryChannel, Calibrator)[] channels = [(new("CURVE"), new PolynomialCalibrator([-60, 0.0024, 4e-9])), (new("TABLE"), new SplineCalibrator([(0, -55), (900, -25.5), (4095, 115)], 1, false))];
        var chunks = channels.Select(c =>
        {
            var values = raw.Select(r => c.Item2.TryApply(r, out var v) ? v : double.NaN).ToArray();
            values[17] += error;
            return new ChannelChunk(c.Item1, ChannelSamples.Real(times, values), new RawCounts(raw, c.Item2));
        }).ToArray();
        await temp.Write(t => TelemetryStore.ReplaceHour(t, hour, chunks));
        foreach (var chunk in chunks)
            Assert.Equal(ValueCodecTests.Bits(chunk.Samples.Values), ValueCodecTests.Bits(temp.Stores.Telemetry.Read(chunk.Channel.Name, Hour.Start(hour), Hour.End(hour)).Values));
        var bytes = temp.Stores.Database.Read(c => Dapper.SqlMapper.ExecuteScalar<long>(c, "SELECT sum(length(sections)) FROM telemetryBlock"));
        Assert.True(error != 0 || bytes < 0.6 * 2 * 360, $"{bytes} bytes for {2 * 360} samples");
    }

    [Property(MaxTest = 200)]
    public void Any_numbers_come_back_from_few_bits(long[] wild, short[] tame, int start)
    {
        foreach (var numbers in new[] { wild, Array.ConvertAll(tame, t => (long)t), [.. Enumerable.Range(0, 500).Select(i => start + i * 10000L)], [.. wild, long.MinValue, long.MaxValue, 0, 0, 0] })
        {
            var writer = new ByteWriter();
            NumberCoder.Write(writer, numbers);
            var reader = new ByteReader(writer.ToArray());
            Assert.Equal(numbers, NumberCoder.Read(ref reader, numbers.Length));
        }
    }

    [Fact]
    public async Task Labels_are_kept_and_texts_of_different_hours_do_not_mix()
    {
        using var temp = new TempStores();
        var hour = Hour.Of(Start);
        long At(long h, int s) => Hour.Start(h).TaiNanoseconds + s * Instant.NanosecondsPerSecond;
        var mode = new TelemetryChannel("MODE");
        await temp.Write(t => TelemetryStore.ReplaceHour(t, hour, [new ChannelChunk(mode, ChannelSamples.Text([At(hour, 1), At(hour, 2)], ["B", "C"]))]));
        await temp.Write(t => TelemetryStore.ReplaceHour(t, hour + 1, [new ChannelChunk(mode, ChannelSamples.Text([At(hour + 1, 1)], ["A"]))]));
        var read = temp.Stores.Telemetry.Read("MODE", Hour.Start(hour), Hour.End(hour + 1));
        Assert.Equal(["B", "C", "A"], Enumerable.Range(0, 3).Select(read.LabelAt));
        Assert.Equal("C", temp.Stores.Telemetry.LastBefore("MODE", Hour.End(hour), Hour.Start(hour))!.Value.Label);
    }

    [Fact]
    public async Task Times_outside_the_hour_are_refused()
    {
        using var temp = new TempStores();
        var chunk = new ChannelChunk(Temperature, ChannelSamples.Real([Start.TaiNanoseconds], [1.5]));
        var error = await Assert.ThrowsAsync<ArgumentException>(() => temp.Write(t => TelemetryStore.ReplaceHour(t, Hour.Of(Start) + 1, [chunk])));
        Assert.Contains("channel IFO_T1 is at 2031-03-01T06:17:05Z; expected times", error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_leap_second_belongs_to_the_last_minute_of_its_day()
    {
        var leap = Instant.ParseUtc("2016-12-31T23:59:60.5Z");
        Assert.Equal(Instant.ParseUtc("2016-12-31T23:59:00Z"), MinutePart.StartOf(MinutePart.MinuteOf(leap.TaiNanoseconds)));
        Assert.Equal(Instant.ParseUtc("1969-07-20T20:17:00Z"), MinutePart.StartOf(MinutePart.MinuteOf(Instant.ParseUtc("1969-07-20T20:17:40Z").TaiNanoseconds)));
    }

    private static (long[] Times, double[] Values) Series(int seed, int hours, bool gap)
    {
        var random = new Random(seed);
        var times = new List<long>();
        var values = new List<double>();
        for (var s = 0.0; s < hours * 3600; s += 1 + random.NextDouble())
        {
            if (gap && s is > 3000 and < 6000) continue;
            times.Add(Start.AddSeconds(s).TaiNanoseconds);
            values.Add(random.Next(50) == 0 ? double.NaN : 20 + 5 * Math.Sin(s / 900) + random.NextDouble());
        }
        return ([.. times], [.. values]);
    }

    private static TempStores Filled(long[] times, double[] values)
    {
        var temp = new TempStores();
        foreach (var group in Enumerable.Range(0, times.Length).GroupBy(i => Hour.Of(times[i])))
            temp.Write(t => TelemetryStore.ReplaceHour(t, group.Key,
                [new ChannelChunk(Temperature, ChannelSamples.Real([.. group.Select(i => times[i])], [.. group.Select(i => values[i])]))])).GetAwaiter().GetResult();
        return temp;
    }
}
