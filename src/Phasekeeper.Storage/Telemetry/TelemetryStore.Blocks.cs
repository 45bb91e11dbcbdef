using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

public sealed partial class TelemetryStore
{
    private const string HeadQuery =
        """
        SELECT id, name, unit, description, role, count,
            (SELECT min(day) FROM telemetryDay WHERE channel = id) AS firstDay, (SELECT max(day) FROM telemetryDay WHERE channel = id) AS lastDay
        FROM channel
        """;

    // First and last time are those of the blocks of the first and last hour.
    private static ChannelRow WithTimes(IDbConnection connection, HeadRow head)
    {
        var row = new ChannelRow { Name = head.Name, Unit = head.Unit, Description = head.Description, Role = head.Role, Count = head.Count };
        if (head.FirstDay is not { } firstDay || head.LastDay is not { } lastDay) return row;
        return row with
        {
            FirstTime = TimeOf(Entries(connection, head.Id, firstDay, firstDay)[0], "firstTime"),
            LastTime = TimeOf(Entries(connection, head.Id, lastDay, lastDay)[^1], "lastTime"),
        };

        Instant TimeOf(HourEntry entry, string column) =>
            connection.ExecuteScalar<long>($"SELECT {column} FROM telemetryBlock WHERE hour = @Hour AND part = @Part", new { entry.Hour, entry.Part }) is var time ? new Instant(time) : default;
    }

    private static List<HourEntry> Entries(IDbConnection connection, long channel, long firstDay, long lastDay)
    {
        var entries = new List<HourEntry>();
        foreach (var (day, hours) in connection.Query<(long, byte[])>(
            "SELECT day, hours FROM telemetryDay WHERE channel = @channel AND day BETWEEN @firstDay AND @lastDay ORDER BY day", new { channel, firstDay, lastDay }, buffered: false))
            DayCodec.Decode(hours, day, entries);
        return entries;
    }

    // The channel's hours first…last, in order; none for an unknown channel.
    private static List<HourEntry> Entries(IDbConnection connection, string name, long first, long last, out long channel)
    {
        channel = connection.QuerySingleOrDefault<long?>("SELECT id FROM channel WHERE name = @name", new { name }) ?? -1;
        if (channel < 0 || last < first) return [];
        var entries = Entries(connection, channel, DayCodec.DayOf(first), DayCodec.DayOf(last));
        entries.RemoveAll(e => e.Hour < first || e.Hour > last);
        return entries;
    }

    private List<HourEntry> Entries(string name, long first, long last) => database.Read(c => Entries(c, name, first, last, out _));

    // Samples of the channel's hours first…last, in order.
    private List<(long Hour, ChannelSamples Samples)> Chunks(string name, long first, long last) => database.Read(c =>
    {
        var entries = Entries(c, name, first, last, out var channel);
        return Chunks(c, channel, entries);
    });

    private List<(long Hour, ChannelSamples Samples)> Chunks(IDbConnection connection, long channel, List<HourEntry> entries)
    {
        var chunks = new List<(long Hour, ChannelSamples Samples)>(entries.Count);
        // A channel is nearly always in the same part of the hours' blocks.
        foreach (var part in entries.GroupBy(e => e.Part))
        {
            var wanted = part.Select(e => e.Hour).ToHashSet();
            foreach (var block in connection.Query<BlockRow>(
                "SELECT hour, part, count, channels, times, sections FROM telemetryBlock WHERE hour BETWEEN @first AND @last AND part = @part",
                new { first = part.Min(e => e.Hour), last = part.Max(e => e.Hour), part = part.Key }, buffered: false))
            {
                if (!wanted.Contains(block.Hour)) continue;
                var section = TelemetryDirectory.Find(block.Channels, block.Sections, channel);
                if (section.IsEmpty) throw StorageErrors.BlobDamaged("block", $"no section of a channel whose roll-ups name it (hour {block.Hour})");
                chunks.Add((block.Hour, SectionCodec.Decode(section, TimeCodec.Decode(block.Times, block.Count), FormOf)));
            }
        }
        chunks.Sort((a, b) => a.Hour.CompareTo(b.Hour));
        return chunks;

        // Forms are few and kept in memory; one that is not there yet is read on a connection of its own.
        TelemetryForm FormOf(long id) => forms.Get(id, connection, null);
    }

    // Minutes of the hours first…last, in order of hours: as kept where samples are many, else made of the samples.
    private List<MinutePart> MinuteParts(string name, long first, long last) => database.Read(c =>
    {
        var entries = Entries(c, name, first, last, out var channel);
        var kept = entries.Exists(e => e.Count >= HourWriter.FewestForMinutes)
            ? c.Query<(long Hour, byte[] Minutes)>("SELECT hour, minutes FROM telemetryMinute WHERE channel = @channel AND hour BETWEEN @first AND @last", new { channel, first, last }).ToDictionary(m => m.Hour, m => m.Minutes)
            : [];
        var made = Chunks(c, channel, entries.FindAll(e => !kept.ContainsKey(e.Hour))).ToDictionary(p => p.Hour, p => p.Samples);
        var parts = new List<MinutePart>();
        foreach (var entry in entries)
            parts.AddRange(kept.TryGetValue(entry.Hour, out var minutes) ? MinuteCodec.Decode(minutes) : MinuteCodec.PartsOf(made[entry.Hour]));
        return parts;
    });

    private sealed record HeadRow
    {
        public long Id { get; init; }
        public required string Name { get; init; }
        public required string Unit { get; init; }
        public required string Description { get; init; }
        public string? Role { get; init; }
        public long Count { get; init; }
        public long? FirstDay { get; init; }
        public long? LastDay { get; init; }
    }

    private sealed record ActiveRow
    {
        public required string Name { get; init; }
        public required string Unit { get; init; }
        public bool Inside { get; init; }
        public byte[]? FirstHours { get; init; }
        public byte[]? LastHours { get; init; }
    }
}
