using System.Data;
using Dapper;
using Phasekeeper.Core.Fringes;

namespace Phasekeeper.Storage;

/// <summary>Which hours hold rows of which exposure. An exposure whose rows lie in two hours (or are claimed twice) is put together from all of them.</summary>
public sealed class ExposureClaimStore(Database database)
{
    /// <summary>Replaces the claims of an hour.</summary>
    public static void ReplaceHour(IDbTransaction transaction, long hour, IEnumerable<(long Exposure, ExposureKind Kind)> exposures)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        var connection = transaction.Connection!;
        connection.Execute("DELETE FROM exposureClaim WHERE hour = @hour", new { hour }, transaction);
        connection.Execute("INSERT INTO exposureClaim (exposure, kind, hour) VALUES (@exposure, @kind, @hour)",
            exposures.Distinct().Select(e => new { exposure = e.Exposure, kind = (int)e.Kind, hour }), transaction);
    }

    /// <summary>Exposures of an hour that other hours within <paramref name="reachHours"/> hold rows of too, with those hours.</summary>
    public IReadOnlyList<(long Exposure, ExposureKind Kind, long OtherHour)> Shared(long hour, int reachHours) => database.Read(c =>
        c.Query<(long Exposure, long Kind, long Hour)>(
            """
            SELECT b.exposure, b.kind, b.hour FROM exposureClaim a JOIN exposureClaim b ON b.exposure = a.exposure AND b.kind = a.kind
            WHERE a.hour = @hour AND b.hour <> @hour AND b.hour BETWEEN @hour - @reachHours AND @hour + @reachHours
            ORDER BY b.exposure, b.kind, b.hour
            """, new { hour, reachHours }).Select(r => (r.Exposure, (ExposureKind)r.Kind, r.Hour)).ToList());
}
