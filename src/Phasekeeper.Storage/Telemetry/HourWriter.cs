using System.Data;
using Dapper;
using Microsoft.Data.Sqlite;

namespace Phasekeeper.Storage;

/// <summary>Writes the telemetry of one hour in place of what stands there.</summary>
internal sealed class HourWriter(IDbTransaction transaction, long hour) : IDisposable
{
    // Chosen: from 12 samples a minute on, keeping minutes takes less time to read and little room beside the samples; below, the samples are as quick.
    public const int FewestForMinutes = 12 * 60;

    private readonly SqliteConnection connection = (SqliteConnection)transaction.Connection!;
    private readonly TelemetryForms forms = new();
    private readonly List<SqliteCommand> commands = [];

    public void Write(IReadOnlyList<ChannelChunk> chunks)
    {
        var former = Forget();
        var ids = ChannelIds(chunks);
        var entries = new SortedDictionary<long, HourEntry>();
        foreach (var group in Groups(chunks, ids)) WriteBlock(group, entries);
        WriteDays(former.Union(entries.Keys).Order(), entries);
    }

    // Removes the hour's blocks and minutes; gives the channels that were in them.
    private List<long> Forget()
    {
        var former = connection.Query<byte[]>("SELECT channels FROM telemetryBlock WHERE hour = @hour", new { hour }, transaction)
            .SelectMany(b => TelemetryDirectory.Decode(b)).Select(s => s.Channel).ToList();
        if (former.Count == 0) return former;
        connection.Execute("DELETE FROM telemetryBlock WHERE hour = @hour", new { hour }, transaction);
        connection.Execute("DELETE FROM telemetryMinute WHERE channel = @channel AND hour = @hour", former.Select(channel => new { channel, hour }), transaction);
        return former;
    }

    private long[] ChannelIds(IReadOnlyList<ChannelChunk> chunks)
    {
        var known = connection.Query<(long Id, string Name, string Unit, string Description, string? Role)>("SELECT id, name, unit, description, role FROM channel", transaction: transaction)
            .ToDictionary(c => c.Name, StringComparer.Ordinal);
        return [.. chunks.Select(c => c.Channel).Select(c =>
            known.TryGetValue(c.Name, out var k) && k.Unit == c.Unit && k.Description == c.Description && k.Role == c.Role ? k.Id : TelemetryStore.ChannelId(transaction, c))];
    }

    // Channels of the same packets have the same times: they stand in one block, and their times are written once.
    private static List<List<(long Channel, ChannelChunk Chunk)>> Groups(IReadOnlyList<ChannelChunk> chunks, long[] ids)
    {
        var groups = new List<List<(long, ChannelChunk)>>();
        var seen = new HashSet<long>();
        for (var i = 0; i < chunks.Count; i++)
        {
            var times = chunks[i].Samples.TaiNanoseconds;
            if (times.Length == 0) continue;
            if (!seen.Add(ids[i])) throw new ArgumentException($"Channel {chunks[i].Channel.Name} appears twice in an hour; expected once.");
            var group = groups.Find(g => g[0].Item2.Samples.TaiNanoseconds.AsSpan().SequenceEqual(times));
            if (group is null) groups.Add(group = []);
            group.Add((ids[i], chunks[i]));
        }
        foreach (var group in groups) group.Sort((a, b) => a.Item1.CompareTo(b.Item1));
        return groups;
    }

    private void WriteBlock(List<(long Channel, ChannelChunk Chunk)> group, SortedDictionary<long, HourEntry> entries)
    {
        var times = group[0].Chunk.Samples.TaiNanoseconds;
        TelemetryStore.Check(group[0].Chunk, hour);
        var part = group[0].Channel;
        var sections = new ByteWriter();
        var lengths = new List<(long, int)>(group.Count);
        foreach (var (channel, chunk) in group)
        {
            var section = SectionCodec.Encode(chunk.Samples, chunk.Counts, form => forms.IdOf(form, transaction));
            sections.Bytes(section);
            lengths.Add((channel, section.Length));
            var sum = TelemetryStore.SumOf(chunk.Samples);
            entries.Add(channel, new(hour, part, chunk.Samples.Count, (int)sum.Count, sum.Min, sum.Sum, sum.Max));
            if (chunk.Samples.Count >= FewestForMinutes)
                connection.Execute("INSERT INTO telemetryMinute (channel, hour, minutes) VALUES (@channel, @hour, @minutes)",
                    new { channel, hour, minutes = MinuteCodec.Encode(MinuteCodec.PartsOf(chunk.Samples)) }, transaction);
        }
        connection.Execute(
            """
            INSERT INTO telemetryBlock (hour, part, count, firstTime, lastTime, channels, times, sections) VALUES (@hour, @part, @Length, @first, @last, @channels, @times, @sections)
            """,
            new { hour, part, times.Length, first = times[0], last = times[^1], channels = TelemetryDirectory.Encode(lengths), times = TimeCodec.Encode(times), sections = sections.ToArray() }, transaction);
    }

    private void WriteDays(IEnumerable<long> channels, SortedDictionary<long, HourEntry> entries)
    {
        var day = DayCodec.DayOf(hour);
        var read = Prepare("SELECT hours FROM telemetryDay WHERE channel = $channel AND day = $day", day);
        var write = Prepare("INSERT INTO telemetryDay (channel, day, hours) VALUES ($channel, $day, $hours) ON CONFLICT (day, channel) DO UPDATE SET hours = excluded.hours", day);
        var hours = write.Parameters.Add("$hours", SqliteType.Blob);
        var remove = Prepare("DELETE FROM telemetryDay WHERE channel = $channel AND day = $day", day);
        var count = Prepare("UPDATE channel SET count = count + $change WHERE id = $channel", null);
        var change = count.Parameters.Add("$change", SqliteType.Integer);
        var list = new List<HourEntry>(DayCodec.Hours);
        foreach (var channel in channels)
        {
            list.Clear();
            read.Parameters[0].Value = channel;
            if (read.ExecuteScalar() is byte[] blob) DayCodec.Decode(blob, day, list);
            var at = list.FindIndex(e => e.Hour == hour);
            var before = at < 0 ? 0 : list[at].Count;
            if (at >= 0) list.RemoveAt(at);
            var now = 0;
            if (entries.TryGetValue(channel, out var entry))
            {
                now = entry.Count;
                at = list.FindIndex(e => e.Hour > hour);
                list.Insert(at < 0 ? list.Count : at, entry);
            }
            var command = list.Count == 0 ? remove : write;
            if (list.Count > 0) hours.Value = DayCodec.Encode(list);
            command.Parameters[0].Value = channel;
            command.ExecuteNonQuery();
            if (now == before) continue;
            count.Parameters[0].Value = channel;
            change.Value = now - before;
            count.ExecuteNonQuery();
        }
    }

    // One command for all channels: making one costs more than running it.
    private SqliteCommand Prepare(string sql, long? day)
    {
        var command = connection.CreateCommand();
        commands.Add(command);
        command.Transaction = (SqliteTransaction)transaction;
        command.CommandText = sql;
        command.Parameters.Add("$channel", SqliteType.Integer);
        if (day is { } number) command.Parameters.AddWithValue("$day", number);
        return command;
    }

    public void Dispose()
    {
        foreach (var command in commands) command.Dispose();
    }
}
