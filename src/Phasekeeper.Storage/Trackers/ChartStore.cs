using System.Data;
using Dapper;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Storage;

/// <summary>A series whose charts have to go on: from a state, or from the start.</summary>
/// <param name="Series">Its id.</param>
/// <param name="Key">Which series.</param>
/// <param name="AfterOrbit">Orbit of the last value that the state has seen; null = none.</param>
/// <param name="State">The state; null = the start.</param>
public sealed record ChartStart(long Series, SeriesKey Key, int? AfterOrbit, byte[]? State);

/// <summary>
/// States of charts (see <c>SeriesChart</c>), so that a new value costs the same after five years as on the first day. <see cref="TrackerStore.ReplaceOrbit"/> removes
/// the states that a changed value makes wrong, in its own transaction: so the newest state of a series is always right, and what lies behind it is to be charted.
/// </summary>
public sealed class ChartStore(Database database)
{
    /// <summary>Every series with its newest state, by series id.</summary>
    public IReadOnlyList<ChartStart> Starts() => database.Read(c => c.Query<StartRow>(
        """
        SELECT s.id, s.tracker, s.view, s.line, s.channel, c.orbit, c.state
        FROM trackerSeries s LEFT JOIN chartState c ON c.series = s.id AND c.orbit = (SELECT max(orbit) FROM chartState WHERE series = s.id)
        ORDER BY s.id
        """).Select(r => new ChartStart(r.Id, r.Key, r.Orbit, r.State)).ToList());

    /// <summary>The finite values of a series behind an orbit (null = all), in order.</summary>
    public IReadOnlyList<TrackerRow> ValuesAfter(ChartStart start) => database.Read(c => TrackerStore.Rows(c,
        "WHERE v.series = @series AND v.orbit > @after AND v.value IS NOT NULL ORDER BY v.orbit", new { series = start.Series, after = start.AfterOrbit ?? long.MinValue }));

    /// <summary>Stores a state; <paramref name="kept"/>: it stays for good.</summary>
    public static void Put(IDbTransaction transaction, long series, int orbit, bool kept, byte[] state)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        transaction.Connection!.Execute(
            """
            INSERT INTO chartState (series, orbit, kept, state) VALUES (@series, @orbit, @kept, @state)
            ON CONFLICT (series, orbit) DO UPDATE SET kept = excluded.kept, state = excluded.state
            """, new { series, orbit, kept, state }, transaction);
    }

    /// <summary>Removes the states of a series before an orbit that are not kept for good.</summary>
    public static void Thin(IDbTransaction transaction, long series, int beforeOrbit)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        transaction.Connection!.Execute("DELETE FROM chartState WHERE series = @series AND orbit < @beforeOrbit AND kept = 0", new { series, beforeOrbit }, transaction);
    }

    /// <summary>Removes the states of all series from an orbit on: what values are compared with changed there.</summary>
    public static void Forget(IDbTransaction transaction, int fromOrbit)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        transaction.Connection!.Execute("DELETE FROM chartState WHERE orbit >= @fromOrbit", new { fromOrbit }, transaction);
    }

    private sealed record StartRow
    {
        public long Id { get; init; }
        public string Tracker { get; init; } = "";
        public string View { get; init; } = "";
        public string Line { get; init; } = "";
        public string Channel { get; init; } = "";
        public int? Orbit { get; init; }
        public byte[]? State { get; init; }
        public SeriesKey Key => TrackerStore.KeyOf(Tracker, View, Line, Channel);
    }
}
