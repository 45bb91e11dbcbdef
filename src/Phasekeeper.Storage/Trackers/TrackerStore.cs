using System.Data;
using Dapper;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Storage;

/// <summary>
/// Per-orbit tracker values as plain rows, one a series and orbit. The orbit stage replaces an orbit's values; the statistics stage
/// then fills in what they mean, series by series.
/// </summary>
public sealed partial class TrackerStore(Database database)
{
    private const string Select =
        """
        SELECT s.tracker, s.view, s.line, s.channel, v.series, v.orbit, v.time, v.value, v.sigma, v.n, v.provisional,
            v.expected, v.ewma, v.ewmaSigma, v.charted, v.cusumHigh, v.cusumLow, v.state, v.softwareVersion
        FROM trackerValue v JOIN trackerSeries s ON s.id = v.series
        """;

    private const string OfSeries = "s.tracker = @tracker AND s.view = @view AND s.line = @line AND s.channel = @channel";

    /// <summary>
    /// Replaces the values of an orbit, all or those of some trackers; statistics of values that are new or changed are empty until <see cref="SetStatistics"/>, and chart
    /// states that had seen what is changed or gone are removed. Of values that are as they were only the version is. Gives the number of values that are new, other than before, or gone.
    /// </summary>
    public static int ReplaceOrbit(IDbTransaction transaction, int orbit, IEnumerable<TrackerValue> values, IReadOnlySet<string>? trackers = null, string softwareVersion = "")
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(values);
        var connection = transaction.Connection!;
        var old = Rows(connection, "WHERE v.orbit = @orbit", new { orbit }, transaction).Where(r => trackers is null || trackers.Contains(r.Key.Tracker)).ToDictionary(r => r.Key, r => (Value: r.ToValue(), Version: r.SoftwareVersion));
        var (changed, remade) = (new List<long>(), new List<long>());
        foreach (var value in values)
        {
            if (value.Orbit != orbit) throw new ArgumentException($"A value of orbit {value.Orbit} was given to replace orbit {orbit}.", nameof(values));
            if (old.Remove(value.Key, out var before) && before.Value == value)
            {
                if (before.Version != softwareVersion) remade.Add(SeriesId(transaction, value.Key));
                continue;
            }
            var series = SeriesId(transaction, value.Key);
            changed.Add(series);
            connection.Execute(
                """
                INSERT INTO trackerValue (series, orbit, time, value, sigma, n, provisional, state, softwareVersion)
                VALUES (@series, @orbit, @time, @value, @sigma, @n, @provisional, 'provisional', @softwareVersion)
                ON CONFLICT (series, orbit) DO UPDATE SET
                    expected = NULL, ewma = NULL, ewmaSigma = NULL, charted = NULL, cusumHigh = NULL, cusumLow = NULL, state = 'provisional',
                    time = excluded.time, value = excluded.value, sigma = excluded.sigma, n = excluded.n, provisional = excluded.provisional, softwareVersion = excluded.softwareVersion
                """,
                new { series, orbit, time = value.Time, value = value.Value.OrNull(), sigma = value.Sigma.OrNull(), n = value.N, provisional = value.Provisional, softwareVersion }, transaction);
        }
        foreach (var gone in old.Keys)
        {
            var series = SeriesId(transaction, gone);
            changed.Add(series);
            connection.Execute("DELETE FROM trackerValue WHERE series = @series AND orbit = @orbit", new { series, orbit }, transaction);
        }
        connection.Execute("UPDATE trackerValue SET softwareVersion = @softwareVersion WHERE series = @series AND orbit = @orbit", remade.Select(series => new { series, orbit, softwareVersion }), transaction);
        connection.Execute("DELETE FROM chartState WHERE series = @series AND orbit >= @orbit", changed.Select(series => new { series, orbit }), transaction);
        return changed.Count;
    }

    /// <summary>Sets what the statistics say of values of a series; orbits without a value are passed over.</summary>
    public static void SetStatistics(IDbTransaction transaction, SeriesKey key, IEnumerable<TrackerStatistic> statistics)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        var series = SeriesId(transaction, key);
        transaction.Connection!.Execute(
            """
            UPDATE trackerValue SET expected = @expected, ewma = @ewma, ewmaSigma = @ewmaSigma, charted = @charted, cusumHigh = @cusumHigh, cusumLow = @cusumLow, state = @state
            WHERE series = @series AND orbit = @orbit
            """,
            statistics.Select(s => new
            {
                series,
                orbit = s.Orbit,
                expected = s.Expected.OrNull(),
                ewma = s.Ewma.OrNull(),
                ewmaSigma = s.EwmaSigma.OrNull(),
                charted = s.Charted.OrNull(),
                cusumHigh = s.CusumHigh.OrNull(),
                cusumLow = s.CusumLow.OrNull(),
                state = s.State,
            }), transaction);
    }

    /// <summary>All series that have values, by tracker, view, line, channel.</summary>
    public IReadOnlyList<SeriesKey> Series() => database.Read(c => c.Query<SeriesRow>(
        """
        SELECT tracker, view, line, channel FROM trackerSeries s WHERE EXISTS (SELECT 1 FROM trackerValue v WHERE v.series = s.id)
        ORDER BY tracker, view, line, channel
        """).Select(r => r.Key).ToList());

    /// <summary>Values of one series on orbits first…last (inclusive), in order.</summary>
    public IReadOnlyList<TrackerRow> Values(SeriesKey key, int firstOrbit = int.MinValue, int lastOrbit = int.MaxValue) =>
        database.Read(c => Values(c, null, key, firstOrbit, lastOrbit));

    /// <summary>As <see cref="Values(SeriesKey, int, int)"/>, within a transaction: sees what it has written.</summary>
    public static IReadOnlyList<TrackerRow> Values(IDbTransaction transaction, SeriesKey key, int firstOrbit = int.MinValue, int lastOrbit = int.MaxValue) =>
        Values(transaction.Connection!, transaction, key, firstOrbit, lastOrbit);

    /// <summary>All values of an orbit.</summary>
    public IReadOnlyList<TrackerRow> OfOrbit(int orbit) => OfOrbits(orbit, orbit);

    /// <summary>All values of orbits first…last (inclusive), by orbit and series.</summary>
    public IReadOnlyList<TrackerRow> OfOrbits(int firstOrbit, int lastOrbit) => database.Read(c => Rows(c,
        "WHERE v.orbit BETWEEN @firstOrbit AND @lastOrbit ORDER BY v.orbit, s.tracker, s.view, s.line, s.channel", new { firstOrbit, lastOrbit }));

    /// <summary>Values and states of the series without a channel on orbits first…last (inclusive), by orbit and series; NaN where there is no value. Of many orbits the rest of the rows is much, and most series are channels'.</summary>
    public IReadOnlyList<TrackerReading> OfInstrument(int firstOrbit, int lastOrbit) => database.Read(c =>
    {
        var readings = new List<TrackerReading>();
        // CROSS JOIN: series by series, each a stretch of the primary key.
        using var reader = c.ExecuteReader(
            """
            SELECT s.id, s.tracker, s.view, s.line, v.orbit, v.value, v.state FROM trackerSeries s CROSS JOIN trackerValue v
            WHERE s.channel = '' AND v.series = s.id AND v.orbit BETWEEN @firstOrbit AND @lastOrbit
            """, new { firstOrbit, lastOrbit });
        var (series, key) = (long.MinValue, default(SeriesKey));
        while (reader.Read())
        {
            if (reader.GetInt64(0) is var own && own != series) (series, key) = (own, KeyOf(reader.GetString(1), reader.GetString(2), reader.GetString(3), ""));
            readings.Add(new(key, reader.GetInt32(4), reader.IsDBNull(5) ? double.NaN : reader.GetDouble(5), reader.GetString(6)));
        }
        return readings.OrderBy(r => r.Orbit).ThenBy(r => r.Key.Tracker, StringComparer.Ordinal).ThenBy(r => r.Key.View, StringComparer.Ordinal).ThenBy(r => r.Key.Line, StringComparer.Ordinal).ToList();
    });

    /// <summary>Values of some trackers on orbits first…last (inclusive), by tracker, view, line, channel and orbit.</summary>
    public IReadOnlyList<TrackerRow> OfTrackers(IReadOnlyList<string> trackers, int firstOrbit, int lastOrbit) => database.Read(c => Rows(c,
        "WHERE s.tracker IN @trackers AND v.orbit BETWEEN @firstOrbit AND @lastOrbit ORDER BY s.tracker, s.view, s.line, s.channel, v.orbit", new { trackers, firstOrbit, lastOrbit }));

    /// <summary>Values of a tracker (all its series, or those of a view, line or channel) with from ≤ time &lt; to, by orbit, view, line, channel.</summary>
    public Page<TrackerRow> List(string tracker, Instant from, Instant to, int limit, string? next = null, string? view = null, string? line = null, string? channel = null)
    {
        // A series' id says when it first had a value, which is a matter of arrival: a list is in order of the names.
        var position = Continuation.Read(next, 2) ?? [long.MinValue, long.MinValue];
        var page = Continuation.Page(database.Read(c => Read(c,
            $"""
            WITH ranked AS (SELECT id, row_number() OVER (ORDER BY view, line, channel) AS rank FROM trackerSeries WHERE tracker = @tracker)
            {Select.Replace("v.softwareVersion", "v.softwareVersion, o.coefficientSet", StringComparison.Ordinal)} JOIN ranked r ON r.id = s.id LEFT JOIN orbit o ON o.orbit = v.orbit
            WHERE (@view IS NULL OR s.view = @view) AND (@line IS NULL OR s.line = @line)
                AND (@channel IS NULL OR s.channel = @channel) AND v.time >= @from AND v.time < @to
                AND (v.orbit, r.rank) > (@orbit, coalesce((SELECT rank FROM ranked WHERE id = @series), -1))
            ORDER BY v.orbit, r.rank LIMIT @limit + 1
            """, new { tracker, view, line, channel, from, to, orbit = position[0], series = position[1], limit }).ToList()),
            limit, r => [r.Row.Orbit, r.Series]);
        return new Page<TrackerRow>(page.Items.Select(r => r.Row).ToList(), page.Next);
    }

    /// <summary>Rows that a condition on v (values) and s (series) picks.</summary>
    internal static List<TrackerRow> Rows(IDbConnection connection, string where, object parameters, IDbTransaction? transaction = null) =>
        Read(connection, $"{Select} {where}", parameters, transaction).Select(r => r.Row).ToList();

    // A series may be tens of thousands of values long: no mapper stands between it and the rows. The coefficient set is the last column of those that ask for it.
    private static IEnumerable<(long Series, TrackerRow Row)> Read(IDbConnection connection, string sql, object parameters, IDbTransaction? transaction = null)
    {
        using var reader = connection.ExecuteReader(sql, parameters, transaction);
        var withSet = reader.FieldCount > 19;
        var (series, key) = (long.MinValue, default(SeriesKey));
        // Words that most rows share.
        var (state, version) = ("", "");
        double Real(int column) => reader.IsDBNull(column) ? double.NaN : reader.GetDouble(column);
        string Word(int column, ref string last)
        {
            var word = reader.GetString(column);
            return last == word ? last : last = word;
        }
        while (reader.Read())
        {
            if (reader.GetInt64(4) is var own && own != series) (series, key) = (own, KeyOf(reader.GetString(0), reader.GetString(1), reader.GetString(2), reader.GetString(3)));
            yield return (series, new TrackerRow
            {
                Key = key,
                Orbit = reader.GetInt32(5),
                Time = new Instant(reader.GetInt64(6)),
                Value = Real(7),
                Sigma = Real(8),
                N = reader.GetInt32(9),
                Provisional = reader.GetBoolean(10),
                Expected = Real(11),
                Ewma = Real(12),
                EwmaSigma = Real(13),
                Charted = Real(14),
                CusumHigh = Real(15),
                CusumLow = Real(16),
                State = Word(17, ref state),
                SoftwareVersion = Word(18, ref version),
                CoefficientSet = withSet && !reader.IsDBNull(19) ? reader.GetInt64(19) : null,
            });
        }
    }

    /// <summary>A key from its columns. Absent parts are '' in the table, because NULLs never collide in a UNIQUE constraint.</summary>
    internal static SeriesKey KeyOf(string tracker, string view, string line, string channel) =>
        new(tracker, view.Length > 0 ? view : null, line.Length > 0 ? line : null, channel.Length > 0 ? channel : null);

    private static List<TrackerRow> Values(IDbConnection connection, IDbTransaction? transaction, SeriesKey key, int firstOrbit, int lastOrbit) => Rows(connection,
        $"WHERE {OfSeries} AND v.orbit BETWEEN @firstOrbit AND @lastOrbit ORDER BY v.orbit",
        new { tracker = key.Tracker, view = key.View ?? "", line = key.Line ?? "", channel = key.Channel ?? "", firstOrbit, lastOrbit }, transaction);

    private static long SeriesId(IDbTransaction transaction, SeriesKey key) => transaction.Connection!.ExecuteScalar<long>(
        """
        INSERT INTO trackerSeries (tracker, view, line, channel) VALUES (@tracker, @view, @line, @channel)
        ON CONFLICT (tracker, view, line, channel) DO UPDATE SET tracker = tracker RETURNING id
        """, new { tracker = key.Tracker, view = key.View ?? "", line = key.Line ?? "", channel = key.Channel ?? "" }, transaction);

    private sealed record SeriesRow
    {
        public string Tracker { get; init; } = "";
        public string View { get; init; } = "";
        public string Line { get; init; } = "";
        public string Channel { get; init; } = "";
        public SeriesKey Key => KeyOf(Tracker, View, Line, Channel);
    }
}
