using System.Data;
using Dapper;
using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>Pairs of our winds with independent ones: one row a set (auxiliary file) and orbit, replaced orbit by orbit.</summary>
public sealed class ComparisonStore(Database database)
{
    /// <summary>Replaces an orbit's pairs with all sets; a set that was forgotten while its pairs were made gets none.</summary>
    public static void ReplaceOrbit(IDbTransaction transaction, int orbit, Instant start, IEnumerable<(long File, IReadOnlyList<ComparisonPair> Pairs)> sets)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(sets);
        var connection = transaction.Connection!;
        connection.Execute("DELETE FROM comparison WHERE orbit = @orbit", new { orbit }, transaction);
        connection.Execute(
            "INSERT INTO comparison (file, orbit, start, count, pairs) SELECT @file, @orbit, @start, @count, @pairs WHERE EXISTS (SELECT 1 FROM auxiliaryFile WHERE id = @file)",
            sets.Where(s => s.Pairs.Count > 0).Select(s => new { file = s.File, orbit, start, count = s.Pairs.Count, pairs = ComparisonVectors.Encode(s.Pairs) }), transaction);
    }

    /// <summary>Forgets all pairs of a set.</summary>
    public static void DeleteSet(IDbTransaction transaction, long file)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        transaction.Connection!.Execute("DELETE FROM comparison WHERE file = @file", new { file }, transaction);
    }

    /// <summary>Pairs of a set on orbits that start in [from, to), the newest orbits first until about <paramref name="most"/> pairs are read, given in order of time. Cut: true when older ones were left.</summary>
    public (IReadOnlyList<ComparisonPair> Pairs, bool Cut) Read(long file, Instant from, Instant to, int most)
    {
        var read = new List<ComparisonPair[]>();
        var total = 0;
        var cut = false;
        using var connection = database.OpenRead();
        foreach (var row in connection.Query<Row>(
            "SELECT orbit, count, pairs FROM comparison WHERE file = @file AND start >= @from AND start < @to ORDER BY orbit DESC", new { file, from, to }, buffered: false))
        {
            cut = total >= most;
            if (cut) break;
            read.Add(ComparisonVectors.Decode(row.Orbit, row.Count, row.Pairs));
            total += row.Count;
        }
        read.Reverse();
        return (read.SelectMany(p => p).ToList(), cut);
    }

    /// <summary>Pairs and orbits of each set.</summary>
    public IReadOnlyDictionary<long, (long Pairs, long Orbits)> Counts() => database.Read(c =>
        c.Query<(long File, long Pairs, long Orbits)>("SELECT file, sum(count), count(*) FROM comparison GROUP BY file").ToDictionary(r => r.File, r => (r.Pairs, r.Orbits)));

    private sealed record Row
    {
        public int Orbit { get; init; }
        public int Count { get; init; }
        public byte[] Pairs { get; init; } = [];
    }
}
