using System.Diagnostics;
using System.Globalization;
using Dapper;
using DuckDB.NET.Data;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Drift;

namespace Phasekeeper.Benchmarks;

/// <summary>
/// What the plots of a long mission ask for: 90 days of a channel at plot resolution, a tracker over the whole mission, a day of winds. Ours over HTTP, the finished JSON in the client's hands,
/// each time another channel, series or day; beside DuckDB in this process, the same rows in tables of its own, the plain query for the same numbers, all rows read.
/// </summary>
internal static class QuerySpeed
{
    private const int Repeats = 40, Columns = 1000, StretchDays = 90;
    private const double DayS = 86400;

    /// <summary>Prints p50 and p95 of each.</summary>
    /// <param name="output">Where they go.</param>
    /// <param name="folder">A mission, see <see cref="FiveYears"/>.</param>
    public static async Task PrintAsync(TextWriter output, string folder)
    {
        await using var program = new MissionProgram(folder);
        using var client = program.Start();
        await program.UntilIdleAsync(client);
        var stores = program.Services.GetRequiredService<Stores>();
        var (begin, end) = (stores.Archive.FirstPacketTime!.Value, stores.Archive.LastPacketTime!.Value);
        await output.WriteLineAsync(FormattableString.Invariant($"{folder}: {(end - begin) / DayS:0} days. ms, {Repeats} different questions each"));

        var file = Path.Combine(Path.GetTempPath(), $"pk-queries-{Guid.NewGuid():N}.duckdb");
        try
        {
            await using var duck = new DuckDBConnection($"Data Source={file}");
            await duck.OpenAsync();
            var (channels, series, days) = (stores.Telemetry.Channels().Where(c => c.Unit.Length > 0).Select(c => c.Name).ToArray(), stores.Trackers.Series(), WindDays(begin, end));
            Fill(duck, stores, channels, series, begin, end);

            await TellAsync(output, "90 days of a channel", client, duck, i =>
            {
                var to = end.AddSeconds(-i % 7 * DayS);
                var from = to.AddSeconds(-StretchDays * DayS);
                var width = (to.TaiNanoseconds - from.TaiNanoseconds) / Columns;
                return ($"/api/v1/plots/channels?c={channels[i % channels.Length]}&from={from}&to={to}&columns={Columns}",
                    FormattableString.Invariant($"SELECT (time - {from.TaiNanoseconds}) // {width} AS part, min(value), avg(value), max(value) FROM sample WHERE channel = {i % channels.Length} AND time >= {from.TaiNanoseconds} AND time < {to.TaiNanoseconds} GROUP BY part ORDER BY part"));
            });
            await TellAsync(output, "a tracker over all of it", client, duck, i => (
                $"/api/v1/plots/drift?s={Uri.EscapeDataString(SeriesText.Write(series[i % series.Count]))}&range=all&columns={Columns}",
                FormattableString.Invariant($"SELECT * FROM tracker WHERE series = {i % series.Count} ORDER BY orbit")));
            await TellAsync(output, "a day of winds", client, duck, i =>
            {
                var day = days[i * 37 % days.Count];
                var from = Instant.StartOf(day);
                return ($"/api/v1/plots/winds/day?date={day:yyyy-MM-dd}", FormattableString.Invariant($"SELECT * FROM wind WHERE time >= {from.TaiNanoseconds} AND time < {from.AddSeconds(DayS).TaiNanoseconds} ORDER BY time"));
            });
        }
        finally
        {
            File.Delete(file);
        }
    }

    private static List<DateOnly> WindDays(Instant begin, Instant end)
    {
        var days = new List<DateOnly>();
        for (var at = begin.AddSeconds(DayS); at < end.AddSeconds(-DayS); at = at.AddSeconds(DayS)) days.Add(DateOnly.FromDateTime(at.ToDateTimeUtc()));
        return days;
    }

    private static async Task TellAsync(TextWriter output, string what, HttpClient client, DuckDBConnection duck, Func<int, (string Url, string Sql)> question)
    {
        // The code is warm, the data are not: the repeats ask for others.
        var (warmUrl, warmSql) = question(Repeats);
        var bytes = 0L;
        async Task AskAsync(string url) => bytes = (await client.GetByteArrayAsync(new Uri(url, UriKind.Relative))).Length;
        for (var i = 0; i < 3; i++)
        {
            await AskAsync(warmUrl);
            Read(duck, warmSql);
        }
        var (ours, theirs) = (new double[Repeats], new double[Repeats]);
        for (var i = 0; i < Repeats; i++)
        {
            var (url, sql) = question(i);
            var start = Stopwatch.GetTimestamp();
            await AskAsync(url);
            ours[i] = Stopwatch.GetElapsedTime(start).TotalMilliseconds;
            start = Stopwatch.GetTimestamp();
            Read(duck, sql);
            theirs[i] = Stopwatch.GetElapsedTime(start).TotalMilliseconds;
        }
        Array.Sort(ours);
        Array.Sort(theirs);
        string Of(double[] sorted) => FormattableString.Invariant($"p50 {sorted[Repeats / 2]:0.0}, p95 {sorted[(int)(0.95 * (Repeats - 1))]:0.0}");
        await output.WriteLineAsync(FormattableString.Invariant($"{what,-26} ours (JSON, {bytes / 1000} kB) {Of(ours)}; DuckDB {Of(theirs)}"));
    }

    private static void Read(DuckDBConnection duck, string sql)
    {
        using var command = duck.CreateCommand();
        command.CommandText = sql;
        using var reader = command.ExecuteReader();
        var values = new object[reader.FieldCount];
        while (reader.Read()) reader.GetValues(values);
    }

    private static void Fill(DuckDBConnection duck, Stores stores, string[] channels, IReadOnlyList<SeriesKey> series, Instant begin, Instant end)
    {
        duck.Execute(
            """
            CREATE TABLE sample (channel SMALLINT, time BIGINT, value DOUBLE);
            CREATE TABLE tracker (series SMALLINT, orbit INTEGER, time BIGINT, value DOUBLE, sigma DOUBLE, expected DOUBLE, ewma DOUBLE, ewmaSigma DOUBLE, cusumHigh DOUBLE, cusumLow DOUBLE, state VARCHAR);
            CREATE TABLE wind (time BIGINT, exposure BIGINT, view VARCHAR, line VARCHAR, row SMALLINT, altitude DOUBLE, latitude DOUBLE, longitude DOUBLE, wind DOUBLE, sigma DOUBLE, quality VARCHAR);
            """);
        using (var appender = duck.CreateAppender("sample"))
            for (short c = 0; c < channels.Length; c++)
                for (var from = begin; from < end; from = from.AddSeconds(30 * DayS))
                {
                    var read = stores.Telemetry.Read(channels[c], from, from.AddSeconds(30 * DayS));
                    for (var i = 0; i < read.Count; i++) appender.CreateRow().AppendValue(c).AppendValue(read.TaiNanoseconds[i]).AppendValue(read.Values[i]).EndRow();
                }
        using (var appender = duck.CreateAppender("tracker"))
            for (short s = 0; s < series.Count; s++)
                foreach (var r in stores.Trackers.Charted(series[s], Instant.MinValue, Instant.MaxValue))
                    appender.CreateRow().AppendValue(s).AppendValue(r.Orbit).AppendValue(r.Time.TaiNanoseconds).AppendValue(r.Value).AppendValue(r.Sigma).AppendValue(r.Expected).AppendValue(r.Ewma).AppendValue(r.EwmaSigma).AppendValue(r.CusumHigh).AppendValue(r.CusumLow).AppendValue(r.State.ToString()).EndRow();
        using (var appender = duck.CreateAppender("wind"))
            for (var from = begin; from < end; from = from.AddSeconds(10 * DayS))
                foreach (var profile in stores.Winds.Read(from, from.AddSeconds(10 * DayS)).Select(w => w.Profile))
                    foreach (var (row, number) in profile.Rows.Select((row, number) => (row, (short)number)))
                        appender.CreateRow().AppendValue(profile.Time.TaiNanoseconds).AppendValue(profile.Exposure).AppendValue(profile.View).AppendValue(profile.Line).AppendValue(number)
                            .AppendValue(row.AltitudeKm).AppendValue(row.LatitudeRad).AppendValue(row.LongitudeRad).AppendValue(row.WindMs).AppendValue(row.SigmaMs).AppendValue(row.Quality.ToString()).EndRow();
    }
}
