using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

public sealed partial class TelemetryStore
{
    // Chosen: a column made of at least this many parts shows the extremes as well as one made of all samples does.
    private const double PartsPerColumn = 2;

    private readonly TelemetryForms forms = new();

    /// <summary>All channels by name.</summary>
    public IReadOnlyList<ChannelRow> Channels() => database.Read(c => c.Query<HeadRow>(HeadQuery + " ORDER BY name").Select(h => WithTimes(c, h)).ToList());

    /// <summary>Names and units of the channels with samples in the hours that [from, to) touches, by name.</summary>
    public IReadOnlyList<(string Name, string Unit)> Active(Instant from, Instant to)
    {
        var (first, last) = (Hour.Of(from), Hour.Of(to));
        return database.Read(c => c.Query<ActiveRow>(
            """
            SELECT name, unit, EXISTS (SELECT 1 FROM telemetryDay WHERE channel = id AND day > @firstDay AND day < @lastDay) AS inside,
                (SELECT hours FROM telemetryDay WHERE channel = id AND day = @firstDay) AS firstHours, (SELECT hours FROM telemetryDay WHERE channel = id AND day = @lastDay) AS lastHours
            FROM channel ORDER BY name
            """, new { firstDay = DayCodec.DayOf(first), lastDay = DayCodec.DayOf(last) }).AsList())
            .Where(r => r.Inside || Touches(r.FirstHours, DayCodec.DayOf(first)) || Touches(r.LastHours, DayCodec.DayOf(last)))
            .Select(r => (r.Name, r.Unit)).ToList();

        bool Touches(byte[]? hours, long day)
        {
            var entries = new List<HourEntry>();
            DayCodec.Decode(hours, day, entries);
            return entries.Exists(e => e.Hour >= first && e.Hour <= last);
        }
    }

    /// <summary>One channel; null when there is none of that name.</summary>
    public ChannelRow? Channel(string name) => database.Read(c => c.QuerySingleOrDefault<HeadRow>(HeadQuery + " WHERE name = @name", new { name }) is { } head ? WithTimes(c, head) : null);

    /// <summary>Samples with from ≤ time &lt; to, in order; none for an unknown channel.</summary>
    public ChannelSamples Read(string channel, Instant from, Instant to) =>
        ChannelSamples.Join(Chunks(channel, Hour.Of(from), Hour.Of(to)).Select(r => Within(r.Samples, from, to)).Where(p => p.Count > 0).ToList());

    /// <summary>The last sample before a moment (not earlier than <paramref name="notBefore"/>); null when there is none.</summary>
    public ChannelSample? LastBefore(string channel, Instant time, Instant notBefore)
    {
        for (var day = DayCodec.DayOf(Hour.Of(time)); day >= DayCodec.DayOf(Hour.Of(notBefore)); day--)
            foreach (var entry in Entries(channel, day * DayCodec.Hours, Hour.Of(time)).Where(e => DayCodec.DayOf(e.Hour) == day).Reverse())
            {
                var samples = Read(channel, Later(notBefore, Hour.Start(entry.Hour)), time);
                if (samples.Count > 0) return SampleAt(samples, samples.Count - 1);
            }
        return null;
    }

    /// <summary>Samples with from ≤ time &lt; to, page by page.</summary>
    public Page<ChannelSample> List(string channel, Instant from, Instant to, int limit, string? next = null)
    {
        // Position: hour and time of the last sample given, and how many samples of that time have been given. Packets that come late push no other sample.
        var last = Continuation.Read(next, 3);
        var items = new List<ChannelSample>();
        foreach (var row in Chunks(channel, Math.Max(Hour.Of(from), last?[0] ?? long.MinValue), Hour.Of(to)))
        {
            var samples = row.Samples;
            var begin = LowerBound(samples.TaiNanoseconds, from.TaiNanoseconds);
            if (last is not null && row.Hour == last[0]) begin = Math.Max(begin, AfterTime(samples.TaiNanoseconds, last[1], last[2]));
            var end = LowerBound(samples.TaiNanoseconds, to.TaiNanoseconds);
            for (var i = begin; i < end; i++)
            {
                if (items.Count == limit) return new Page<ChannelSample>(items, limit == 0 ? next : Continuation.Of(last!));
                items.Add(SampleAt(samples, i));
                var time = samples.TaiNanoseconds[i];
                last = [row.Hour, time, i + 1 - LowerBound(samples.TaiNanoseconds, time)];
            }
        }
        return new Page<ChannelSample>(items, null);

        static int AfterTime(long[] times, long time, long given)
        {
            var i = LowerBound(times, time);
            while (given-- > 0 && i < times.Length && times[i] == time) i++;
            return i;
        }
    }

    /// <summary>Roll-ups of UTC minutes that start in [from, to), in order.</summary>
    public IReadOnlyList<RollUp> Minutes(string channel, Instant from, Instant to)
    {
        // Parts come in order of time: a minute that two hours share stands at the end of one and the beginning of the next.
        var minutes = new List<MinutePart>();
        foreach (var part in MinuteParts(channel, Hour.Of(from), Hour.Of(to) + 1))
            if (minutes.Count > 0 && minutes[^1].UtcMinute == part.UtcMinute) minutes[^1] += part;
            else minutes.Add(part);
        return minutes
            .Select(m => new RollUp(MinutePart.StartOf(m.UtcMinute), m.Min, m.Sum / m.Count, m.Max, m.Count))
            .Where(r => r.Start >= from && r.Start < to).ToList();
    }

    /// <summary>As <see cref="Minutes"/>, page by page.</summary>
    public Page<RollUp> ListMinutes(string channel, Instant from, Instant to, int limit, string? next = null) =>
        PageOf(Minutes(channel, After(next, from), to), limit);

    /// <summary>Roll-ups of orbits that start in [from, to), in order, page by page.</summary>
    public Page<RollUp> ListOrbits(string channel, Instant from, Instant to, int limit, string? next = null) =>
        PageOf(Orbits(channel, After(next, from), to).Select(o => o.RollUp).ToList(), limit);

    /// <summary>Roll-ups of orbits that start in [from, to), in order.</summary>
    public IReadOnlyList<(int Orbit, RollUp RollUp)> Orbits(string channel, Instant from, Instant to) => database.Read(c => c.Query<OrbitRollUpRow>(
        """
        SELECT orbit, start, min, mean, max, count FROM telemetryOrbit
        WHERE channel = (SELECT id FROM channel WHERE name = @channel) AND start >= @from AND start < @to ORDER BY orbit
        """, new { channel, from, to }).Select(r => (r.Orbit, new RollUp(r.Start, r.Min.OrNaN(), r.Mean.OrNaN(), r.Max.OrNaN(), r.Count))).ToList());

    /// <summary>
    /// A stretch for a plot of about <paramref name="maxPoints"/> points: all samples where they fit, else extremes and mean of equal
    /// columns, made of samples, minutes or hours, whichever is the coarsest that still fills a column with two parts.
    /// </summary>
    public DecimatedSeries Decimated(string channel, Instant from, Instant to, int maxPoints)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(maxPoints, 2);
        // A column draws two points, its extremes.
        var columns = Math.Max(1, maxPoints / 2);
        var widthS = (to - from) / columns;
        if (widthS >= PartsPerColumn * 3600) return new DecimatedSeries("hours", Columns(HourParts(channel, from, to), from, to, columns));
        var count = Count(channel, from, to);
        if (count > maxPoints && widthS >= PartsPerColumn * 60)
            return new DecimatedSeries("minutes", Columns(
                // The minute that is going on at the start belongs to the plot, with all of its samples.
                Minutes(channel, from.AddSeconds(-60), to).Where(m => m.Start.AddSeconds(60) > from)
                    .Select(m => (Later(m.Start, from), m.Min, m.Mean * m.Count, m.Max, m.Count)), from, to, columns));
        var samples = Read(channel, from, to);
        var points = Enumerable.Range(0, samples.Count).Where(i => double.IsFinite(samples.Values[i]))
            .Select(i => (samples.TimeAt(i), samples.Values[i], samples.Values[i], samples.Values[i], 1L));
        return samples.Count <= maxPoints
            ? new DecimatedSeries("raw", points.Select(p => new RollUp(p.Item1, p.Item2, p.Item3, p.Item4, 1)).ToList())
            : new DecimatedSeries("samples", Columns(points, from, to, columns));
    }

    /// <summary>Least and largest value of a channel in each hour that [from, to] touches, whole hours; hours without a finite value are left out.</summary>
    public IEnumerable<(double Min, double Max)> HourExtremes(string channel, Instant from, Instant to) =>
        Entries(channel, Hour.Of(from), Hour.Of(to)).Where(e => e.Finite > 0).Select(e => (e.Min, e.Max));

    private long Count(string channel, Instant from, Instant to) => Entries(channel, Hour.Of(from), Hour.Of(to)).Sum(e => (long)e.Count);

    // Hours that the ends cut are made of their samples.
    private List<(Instant, double, double, double, long)> HourParts(string channel, Instant from, Instant to)
    {
        var parts = new List<(Instant, double, double, double, long)>();
        foreach (var entry in Entries(channel, Hour.Of(from), Hour.Of(to)))
        {
            var (start, part) = (Later(Hour.Start(entry.Hour), from), new MinutePart(0, entry.Finite, entry.Min, entry.Sum, entry.Max));
            if (Hour.Start(entry.Hour) < from || Hour.End(entry.Hour) > to)
            {
                var samples = Read(channel, start, Hour.End(entry.Hour) < to ? Hour.End(entry.Hour) : to);
                part = SumOf(samples);
            }
            if (part.Count > 0) parts.Add((start, part.Min, part.Sum, part.Max, part.Count));
        }
        return parts;
    }

    private static List<RollUp> Columns(IEnumerable<(Instant Time, double Min, double Sum, double Max, long Count)> parts, Instant from, Instant to, int columns)
    {
        var result = new List<RollUp>();
        var width = (to.TaiNanoseconds - (double)from.TaiNanoseconds) / columns;
        var current = -1L;
        double sum = 0;
        foreach (var part in parts)
        {
            var column = Math.Min(columns - 1, (long)((part.Time.TaiNanoseconds - from.TaiNanoseconds) / width));
            if (column != current)
            {
                current = column;
                sum = 0;
                result.Add(new RollUp(new Instant(from.TaiNanoseconds + (long)(column * width)), part.Min, 0, part.Max, 0));
            }
            sum += part.Sum;
            var soFar = result[^1];
            result[^1] = soFar with
            {
                Min = Math.Min(soFar.Min, part.Min),
                Max = Math.Max(soFar.Max, part.Max),
                Count = soFar.Count + part.Count,
                Mean = sum / (soFar.Count + part.Count),
            };
        }
        return result;
    }

    // Starts of roll-ups are the places to go on behind.
    private static Instant After(string? next, Instant from) => Continuation.Read(next, 1) is [var last] ? Later(from, new Instant(last + 1)) : from;

    private static Page<RollUp> PageOf(IReadOnlyList<RollUp> rollUps, int limit) =>
        Continuation.Page(rollUps.Take(limit + 1).ToList(), limit, r => [r.Start.TaiNanoseconds]);

    private static Instant Later(Instant a, Instant b) => a > b ? a : b;

    private static ChannelSample SampleAt(ChannelSamples samples, int i) => new(samples.TimeAt(i), samples.Values[i], samples.LabelAt(i));

    private sealed record OrbitRollUpRow
    {
        public int Orbit { get; init; }
        public Instant Start { get; init; }
        public double? Min { get; init; }
        public double? Mean { get; init; }
        public double? Max { get; init; }
        public long Count { get; init; }
    }
}
