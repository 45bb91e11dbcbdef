using System.Data;
using Dapper;
using Phasekeeper.Core.SignOff;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Storage;

/// <summary>Winds of an orbit in figures, one row a line, made with the winds themselves (<see cref="WindStore.ReplaceOrbit"/>).</summary>
public sealed class WindFigureStore(Database database)
{
    /// <summary>Figures of the orbits from first to last (both included), by orbit and line.</summary>
    public IReadOnlyList<(int Orbit, LineWinds Winds)> Read(int first, int last) => database.Read(c => c.Query<(int Orbit, string Line, long Count, long Good, double? Sigma)>(
        "SELECT orbit, line, count, good, sigma FROM windFigure WHERE orbit BETWEEN @first AND @last ORDER BY orbit, line", new { first, last })
        .Select(r => (r.Orbit, new LineWinds(r.Line, r.Count, r.Good, r.Sigma ?? double.NaN))).ToList());

    /// <summary>Orbits with winds and without figures (made by an earlier version), newest first.</summary>
    public IReadOnlyList<int> Missing() => database.Read(c => c.Query<int>("SELECT DISTINCT orbit FROM losWind EXCEPT SELECT orbit FROM windFigure ORDER BY orbit DESC").AsList());

    /// <summary>Makes the figures of an orbit from its stored winds, where there are none.</summary>
    public static void Fill(IDbTransaction transaction, int orbit, IEnumerable<StoredLosWind> winds) => Insert(transaction, orbit, winds, "INSERT OR IGNORE");

    internal static void ReplaceOrbit(IDbTransaction transaction, int orbit, IEnumerable<StoredLosWind> winds)
    {
        transaction.Connection!.Execute("DELETE FROM windFigure WHERE orbit = @orbit", new { orbit }, transaction);
        Insert(transaction, orbit, winds, "INSERT");
    }

    private static void Insert(IDbTransaction transaction, int orbit, IEnumerable<StoredLosWind> winds, string how)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(winds);
        transaction.Connection!.Execute($"{how} INTO windFigure (orbit, line, count, good, sigma) VALUES (@orbit, @Line, @Values, @Good, @sigma)",
            winds.GroupBy(w => w.Profile.Line).Select(g => Of(g.Key, g)).Select(f => new { orbit, f.Line, f.Values, f.Good, sigma = f.SigmaMs.OrNull() }), transaction);
    }

    /// <summary>Figures of some winds of one line.</summary>
    public static LineWinds Of(string line, IEnumerable<StoredLosWind> winds)
    {
        LosWind[] rows = [.. winds.SelectMany(w => w.Profile.Rows)];
        double[] sigmas = [.. rows.Where(r => r.Quality == WindQuality.Good && double.IsFinite(r.SigmaMs)).Select(r => r.SigmaMs)];
        return new(line, rows.Length, rows.LongCount(r => r.Quality == WindQuality.Good), RobustStatistics.Median(sigmas));
    }
}
