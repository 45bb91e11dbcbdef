using System.Data;
using Dapper;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Storage;

/// <summary>Series over years for plots: packed parts of 512 orbits (trackerPart), a copy of the rows, and rows where a part has changed since (trackerUnpacked, kept by triggers).</summary>
public sealed partial class TrackerStore
{
    // orbit >> 9 in the schema's triggers.
    private const int PartBits = 9;

    /// <summary>The finite values of one series with from ≤ time &lt; to, in order. A value stands in the middle of its orbit: none of an orbit that ended before is looked at.</summary>
    public IReadOnlyList<PlottedValue> Charted(SeriesKey key, Instant from, Instant to)
    {
        using var connection = database.OpenRead();
        // Parts, the list of those that changed, and rows as of one moment.
        using var transaction = connection.BeginTransaction(deferred: true);
        var (series, first, last) = connection.QuerySingle<(long?, int?, int?)>(
            $"""
            SELECT (SELECT id FROM trackerSeries s WHERE {OfSeries}), ({OrbitStore.FirstEndingAfterFrom}), (SELECT orbit FROM orbit WHERE start < @to ORDER BY start DESC LIMIT 1)
            """,
            new { tracker = key.Tracker, view = key.View ?? "", line = key.Line ?? "", channel = key.Channel ?? "", from, to }, transaction);
        if (series is null || first is null || last is null || last < first) return [];
        var range = new { series, first = first >> PartBits, last = last >> PartBits };
        var unpacked = connection.Query<int>("SELECT part FROM trackerUnpacked WHERE series = @series AND part BETWEEN @first AND @last ORDER BY part", range, transaction).ToList();
        var values = new List<PlottedValue>();
        var next = 0;
        foreach (var (part, data) in connection.Query<(int, byte[])>(
            """
            SELECT part, data FROM trackerPart p WHERE series = @series AND part BETWEEN @first AND @last
                AND NOT EXISTS (SELECT 1 FROM trackerUnpacked u WHERE u.series = p.series AND u.part = p.part) ORDER BY part
            """, range, transaction, buffered: false))
        {
            while (next < unpacked.Count && unpacked[next] < part) ReadPart(connection, transaction, series.Value, unpacked[next++], values);
            TrackerPartCodec.Decode(data, values);
        }
        while (next < unpacked.Count) ReadPart(connection, transaction, series.Value, unpacked[next++], values);
        // Parts reach beyond what is asked for.
        int begin = 0, end = values.Count;
        while (begin < end && !(values[begin].Orbit >= first && values[begin].Time >= from)) begin++;
        while (end > begin && values[end - 1].Time >= to) end--;
        return begin == 0 && end == values.Count ? values : values.GetRange(begin, end - begin);
    }

    /// <summary>Packs parts that are not the newest one and have changed since they were packed; <paramref name="most"/> of them. Gives how many it was: 0 when all stand.</summary>
    public Task<int> PackAsync(int most, CancellationToken cancel = default)
    {
        const string waiting = "SELECT series, part FROM trackerUnpacked WHERE part < (SELECT max(orbit) FROM orbit) >> 9 LIMIT @most";
        // Most looks find nothing, and the writer may be busy.
        return database.Read(c => c.Query<(long, int)>(waiting, new { most }).Any())
            ? database.WriteAsync(transaction =>
            {
                var connection = transaction.Connection!;
                var parts = connection.Query<(long Series, int Part)>(waiting, new { most }, transaction).ToList();
                foreach (var (series, part) in parts)
                {
                    var values = new List<PlottedValue>();
                    ReadPart(connection, transaction, series, part, values);
                    connection.Execute("DELETE FROM trackerPart WHERE series = @series AND part = @part", new { series, part }, transaction);
                    if (values.Count > 0)
                        connection.Execute("INSERT INTO trackerPart (series, part, data) VALUES (@series, @part, @data)", new { series, part, data = TrackerPartCodec.Encode([.. values]) }, transaction);
                    connection.Execute("DELETE FROM trackerUnpacked WHERE series = @series AND part = @part", new { series, part }, transaction);
                }
                return parts.Count;
            }, cancel)
            : Task.FromResult(0);
    }

    // No mapper stands between a part and its rows: there may be hundreds, for each of many series.
    private static void ReadPart(IDbConnection connection, IDbTransaction transaction, long series, int part, List<PlottedValue> target)
    {
        using var reader = connection.ExecuteReader(
            """
            SELECT orbit, time, value, sigma, n, expected, ewma, ewmaSigma, charted, cusumHigh, cusumLow, state FROM trackerValue
            WHERE series = @series AND orbit BETWEEN @first AND @last AND value IS NOT NULL ORDER BY orbit
            """, new { series, first = part << PartBits, last = ((part + 1) << PartBits) - 1 }, transaction);
        double Real(int column) => reader.IsDBNull(column) ? double.NaN : reader.GetDouble(column);
        while (reader.Read())
            target.Add(new(reader.GetInt32(0), new Instant(reader.GetInt64(1)), reader.GetDouble(2), Real(3), reader.GetInt32(4), Real(5), Real(6), Real(7), Real(8), Real(9), Real(10), PlottedValue.StateOf(reader.GetString(11))));
    }
}
