using System.Data;
using Dapper;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.ZeroWind;

namespace Phasekeeper.Storage;

/// <summary>Condensed winds, one row an orbit: some kilobytes from which the zero wind of weeks is solved.</summary>
public sealed class WindSumStore(Database database)
{
    /// <summary>
    /// Replaces an orbit's sums; null removes them. <paramref name="zero"/> is a fingerprint of the zero-wind phases that the winds were corrected with. True when anything is other than before.
    /// </summary>
    public static bool Replace(IDbTransaction transaction, int orbit, OrbitWindSums? sums, byte[] zero)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        var connection = transaction.Connection!;
        if (sums is null || sums.Cells.Count == 0) return connection.Execute("DELETE FROM windSum WHERE orbit = @orbit", new { orbit }, transaction) > 0;
        if (sums.Orbit != orbit) throw new ArgumentException($"Sums of orbit {sums.Orbit} were given to replace orbit {orbit}.", nameof(sums));
        return connection.Execute(
            """
            INSERT INTO windSum (orbit, start, zero, cells) VALUES (@orbit, @start, @zero, @cells)
            ON CONFLICT (orbit) DO UPDATE SET start = excluded.start, zero = excluded.zero, cells = excluded.cells
            WHERE start <> excluded.start OR zero <> excluded.zero OR cells <> excluded.cells
            """, new { orbit, start = sums.Start, zero, cells = WindSumVectors.Encode(sums.Cells) }, transaction) > 0;
    }

    /// <summary>Sums of orbits with from ≤ start &lt; to and a fingerprint of zero-wind phases, in order; those of another grid are left out.</summary>
    public IReadOnlyList<OrbitWindSums> Read(Instant from, Instant to, byte[] zero) => database.Read(c => c.Query<Row>(
        "SELECT orbit, start, cells FROM windSum WHERE start >= @from AND start < @to AND zero = @zero ORDER BY start, orbit", new { from, to, zero })
        .Select(r => WindSumVectors.Decode(r.Cells) is { } cells ? new OrbitWindSums(r.Orbit, r.Start, cells) : null).OfType<OrbitWindSums>().ToList());

    private sealed record Row
    {
        public int Orbit { get; init; }
        public Instant Start { get; init; }
        public byte[] Cells { get; init; } = [];
    }
}
