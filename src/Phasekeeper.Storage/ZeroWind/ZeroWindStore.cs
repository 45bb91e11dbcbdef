using System.Data;
using Dapper;
using Phasekeeper.Core.ZeroWind;

namespace Phasekeeper.Storage;

/// <summary>Zero-wind estimates: one a UTC day (days since 1970-01-01) and line, from the orbits of the weeks before that day.</summary>
public sealed class ZeroWindStore(Database database)
{
    /// <summary>Replaces a day's estimates.</summary>
    public static void Replace(IDbTransaction transaction, long day, IReadOnlyList<ZeroWindEstimate> estimates)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(estimates);
        var connection = transaction.Connection!;
        connection.Execute("DELETE FROM zeroWind WHERE day = @day", new { day }, transaction);
        connection.Execute("INSERT INTO zeroWind (day, line, status, estimate) VALUES (@day, @Line, @status, @estimate)",
            estimates.Select(e => new { day, e.Line, status = e.Status == ZeroWindStatus.Claimed ? "claimed" : "cannotTellYet", estimate = ZeroWindVectors.Encode(e) }), transaction);
    }

    /// <summary>The newest day with estimates; null when there is none.</summary>
    public long? NewestDay => database.Read(c => c.ExecuteScalar<long?>("SELECT max(day) FROM zeroWind"));

    /// <summary>Estimates of days first…last (both included), by day and line.</summary>
    public IReadOnlyList<(long Day, ZeroWindEstimate Estimate)> Read(long first, long last) => database.Read(c => c.Query<(long Day, string Line, byte[] Estimate)>(
        "SELECT day, line, estimate FROM zeroWind WHERE day BETWEEN @first AND @last ORDER BY day, line", new { first, last })
        .Select(r => (r.Day, ZeroWindVectors.Decode(r.Line, r.Estimate))).ToList());
}
