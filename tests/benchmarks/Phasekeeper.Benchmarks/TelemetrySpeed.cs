using System.Diagnostics;
using System.Globalization;
using Dapper;
using DuckDB.NET.Data;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Benchmarks;

/// <summary>
/// Room and time that telemetry takes: the demo's channels as decoded, through the road of the decode stage (an hour a transaction, on disk when it returns) into a store of ours, with roll-ups of
/// hours, minutes and orbits; beside plain rows (channel, time, value) without roll-ups by sqlite3's .import and DuckDB's appender. All of ours is read back and compared bit by bit.
/// </summary>
internal static class TelemetrySpeed
{
    private const int Rounds = 3;
    private const double OrbitS = 5760;
    private static readonly string[] Names = ["ours, an hour a transaction", "DuckDB appender, an hour a transaction", "DuckDB appender, all in one transaction", "DuckDB the same, with its CHECKPOINT", "sqlite3 .import"];

    public static async Task PrintAsync(TextWriter output, int days, int? periodS)
    {
        var root = Directory.CreateTempSubdirectory("pk-telemetry-").FullName;
        try
        {
            var hours = TelemetryHours.Make(Path.Combine(root, "profile"), days, periodS, out var mission);
            var samples = hours.Sum(h => h.Channels.Sum(c => (long)c.Times.Count));
            await output.WriteLineAsync(FormattableString.Invariant(
                $"{days} days of the demo's {hours[0].Channels.Count} channels{(periodS is { } s ? $" at {s} s" : " at 10 s and 30 s")}: {samples} samples. Times: best of {Rounds} rounds, one after the other."));
            var csv = Path.Combine(root, "samples.csv");
            WriteCsv(csv, hours);
            var best = Enumerable.Repeat(double.MaxValue, Names.Length).ToArray();
            long ours = 0, duck = 0, lite = 0;
            for (var round = 0; round < Rounds; round++)
            {
                var folder = Path.Combine(root, $"ours{round}");
                best[0] = Math.Min(best[0], await OursAsync(folder, hours, mission));
                if (round == 0) ours = await FinishAsync(output, folder, hours, samples);
                var perHour = await DuckAsync(Path.Combine(root, $"hourly{round}.duckdb"), hours, hourly: true);
                var atOnce = await DuckAsync(Path.Combine(root, $"once{round}.duckdb"), hours, hourly: false);
                (best[1], best[2], best[3]) = (Math.Min(best[1], perHour.Seconds), Math.Min(best[2], atOnce.Seconds), Math.Min(best[3], atOnce.Seconds + atOnce.CheckpointSeconds));
                duck = atOnce.Bytes;
                if (Import(Path.Combine(root, $"rows{round}.db"), csv) is not { } imported) continue;
                best[4] = Math.Min(best[4], imported.Seconds);
                lite = imported.Bytes;
            }
            await output.WriteLineAsync(FormattableString.Invariant($"bytes a sample: ours with roll-ups {ours / (double)samples:0.000}; DuckDB, rows alone {duck / (double)samples:0.000}; SQLite, rows alone {(lite > 0 ? lite / (double)samples : double.NaN):0.000}"));
            for (var i = 0; i < best.Length; i++)
                await output.WriteLineAsync(best[i] == double.MaxValue ? $"{Names[i]}: not measured, sqlite3 is not installed"
                    : FormattableString.Invariant($"{Names[i]}: {samples / best[i] / 1e6:0.00} million samples a second ({best[i] / best[0]:0.00} × our time)"));
        }
        finally
        {
            Directory.Delete(root, recursive: true);
        }
    }

    private static async Task<double> OursAsync(string folder, List<DecodedHour> hours, MissionFolder mission)
    {
        using var stores = Stores.Open(folder);
        var start = Stopwatch.GetTimestamp();
        foreach (var hour in hours)
        {
            var chunks = hour.Channels.Select(c => DecodeStage.Chunk(c, mission.Profile)).ToArray();
            await stores.Database.WriteAsync(t => TelemetryStore.ReplaceHour(t, hour.Hour, chunks));
        }
        return Stopwatch.GetElapsedTime(start).TotalSeconds;
    }

    // Orbits' roll-ups, everything read back, and the room in the database file beyond an empty one.
    private static async Task<long> FinishAsync(TextWriter output, string folder, List<DecodedHour> hours, long samples)
    {
        string tables;
        using (var stores = Stores.Open(folder))
        {
            var (begin, end) = (Hour.Start(hours[0].Hour), Hour.End(hours[^1].Hour));
            for (var orbit = 0; begin.AddSeconds(orbit * OrbitS) < end; orbit++)
            {
                var (number, from) = (orbit, begin.AddSeconds(orbit * OrbitS));
                await stores.Database.WriteAsync(t => TelemetryStore.ReplaceOrbit(t, number, from, from.AddSeconds(OrbitS)));
            }
            foreach (var channel in hours[0].Channels)
            {
                var read = stores.Telemetry.Read(channel.Channel.Name, begin, end);
                var wrote = hours.SelectMany(h => h.Channels.Where(c => c.Channel.Name == channel.Channel.Name)).ToList();
                if (!read.TaiNanoseconds.SequenceEqual(wrote.SelectMany(c => c.Times).Select(t => t.TaiNanoseconds))
                    || !read.Values.Select(BitConverter.DoubleToInt64Bits).SequenceEqual(wrote.SelectMany(c => c.Values).Select(BitConverter.DoubleToInt64Bits)))
                    throw new InvalidOperationException($"Channel {channel.Channel.Name} does not come back as it was written.");
            }
            tables = stores.Database.Read(c => string.Join(", ", c.Query<(string Name, long Bytes)>(
                """
                SELECT 'sections', sum(length(sections)) FROM telemetryBlock UNION ALL SELECT 'times and directories', sum(length(times) + length(channels)) FROM telemetryBlock
                UNION ALL SELECT 'hours', sum(length(hours)) FROM telemetryDay UNION ALL SELECT 'minutes', coalesce(sum(length(minutes)), 0) FROM telemetryMinute
                """)
                .Select(r => FormattableString.Invariant($"{r.Name} {r.Bytes / (double)samples:0.000}"))));
        }
        var empty = folder + "-empty";
        Stores.Open(empty).Dispose();
        await output.WriteLineAsync($"All samples read back are the ones written, bit by bit. Bytes a sample, contents alone: {tables}");
        return new FileInfo(new DataFolder(folder).DatabaseFile).Length - new FileInfo(new DataFolder(empty).DatabaseFile).Length;
    }

    private static async Task<(double Seconds, double CheckpointSeconds, long Bytes)> DuckAsync(string file, List<DecodedHour> hours, bool hourly)
    {
        double seconds, checkpoint;
        await using (var connection = new DuckDBConnection($"Data Source={file}"))
        {
            await connection.OpenAsync();
            await connection.ExecuteAsync("CREATE TABLE sample (channel SMALLINT, time BIGINT, value DOUBLE)");
            var start = Stopwatch.GetTimestamp();
            foreach (var batch in hourly ? hours.Select(h => (IEnumerable<DecodedHour>)[h]) : [hours])
            {
                using var appender = connection.CreateAppender("sample");
                foreach (var hour in batch)
                    for (short c = 0; c < hour.Channels.Count; c++)
                    {
                        var channel = hour.Channels[c];
                        for (var i = 0; i < channel.Times.Count; i++)
                            appender.CreateRow().AppendValue(c).AppendValue(channel.Times[i].TaiNanoseconds).AppendValue(channel.Values[i]).EndRow();
                    }
                appender.Close();
            }
            seconds = Stopwatch.GetElapsedTime(start).TotalSeconds;
            start = Stopwatch.GetTimestamp();
            await connection.ExecuteAsync("CHECKPOINT");
            checkpoint = Stopwatch.GetElapsedTime(start).TotalSeconds;
        }
        return (seconds, checkpoint, new FileInfo(file).Length);
    }

    private static (double Seconds, long Bytes)? Import(string file, string csv)
    {
        var start = new ProcessStartInfo("sqlite3", [file, "CREATE TABLE sample (channel INTEGER, time INTEGER, value REAL)", ".mode csv", $".import {csv} sample"]);
        try
        {
            var begin = Stopwatch.GetTimestamp();
            using var process = Process.Start(start)!;
            process.WaitForExit();
            var seconds = Stopwatch.GetElapsedTime(begin).TotalSeconds;
            if (process.ExitCode != 0) throw new InvalidOperationException($"sqlite3 ended with {process.ExitCode}.");
            return (seconds, new FileInfo(file).Length);
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return null;
        }
    }

    private static void WriteCsv(string file, List<DecodedHour> hours)
    {
        using var writer = new StreamWriter(file);
        foreach (var hour in hours)
            for (var c = 0; c < hour.Channels.Count; c++)
                for (var i = 0; i < hour.Channels[c].Times.Count; i++)
                    writer.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{c},{hour.Channels[c].Times[i].TaiNanoseconds},{hour.Channels[c].Values[i]:R}"));
    }
}
