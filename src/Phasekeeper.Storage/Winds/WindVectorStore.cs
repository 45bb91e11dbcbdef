using System.Data;
using Dapper;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.WindMeans;

namespace Phasekeeper.Storage;

/// <summary>Wind vectors: one row a line and exposure of the second view, within the orbit of the earlier look; replaced orbit by orbit.</summary>
public sealed class WindVectorStore(Database database)
{
    private const string Columns = "id, orbit, line, exposure, exposureTime, firstTime, lastTime, vectors, coefficientSet, softwareVersion, inputHash";

    /// <summary>Replaces all vectors of an orbit, and the bins that are made from them (<see cref="WindBinStore"/>).</summary>
    public static void ReplaceOrbit(IDbTransaction transaction, int orbit, IEnumerable<StoredWindVectors> vectors)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(vectors);
        var connection = transaction.Connection!;
        var all = vectors.ToArray();
        WindBinStore.ReplaceOrbit(transaction, orbit, all.GroupBy(v => v.Line).OrderBy(g => g.Key, StringComparer.Ordinal).Select(g => OrbitWindBins.Of(orbit, g.Key, g.SelectMany(v => v.Vectors))));
        connection.Execute("DELETE FROM windVector WHERE orbit = @orbit", new { orbit }, transaction);
        connection.Execute(
            """
            INSERT INTO windVector (orbit, line, exposure, exposureTime, firstTime, lastTime, vectors, coefficientSet, softwareVersion, inputHash)
            VALUES (@orbit, @Line, @Exposure, @ExposureTime, @firstTime, @lastTime, @vectors, @CoefficientSet, @SoftwareVersion, @InputHash)
            """,
            all.Select(v => new
            {
                orbit = v.Orbit == orbit ? orbit : throw new ArgumentException($"A wind vector of orbit {v.Orbit} was given to replace orbit {orbit}.", nameof(vectors)),
                v.Line,
                v.Exposure,
                v.ExposureTime,
                firstTime = v.Vectors.Min(x => x.Time),
                lastTime = v.Vectors.Max(x => x.Time),
                vectors = WindVectorVectors.Encode(v),
                v.CoefficientSet,
                v.SoftwareVersion,
                v.InputHash,
            }), transaction);
    }

    /// <summary>Exposures with vectors in [from, to), whole, in order of exposure time, exposure, line and orbit; of one line, or all. Vectors beside the stretch are left out.</summary>
    public IReadOnlyList<StoredWindVectors> Read(Instant from, Instant to, string? line = null) =>
        database.Read(c => Query(c, First(from), from, to, line, -1)).Select(v => v with { Vectors = [.. v.Vectors.Where(x => x.Time >= from && x.Time < to)] }).Where(v => v.Vectors.Count > 0).ToList();

    /// <summary>Vectors with from ≤ time &lt; to page by page, in order of exposure time, exposure, line and row.</summary>
    public Page<StoredWindVector> ListRows(Instant from, Instant to, int limit, string? next = null, string? line = null) =>
        RowPages.Of(First(from).Time, limit, next, (start, count) => database.Read(c => Query(c, start, from, to, line, count)), v => new(v.ExposureTime, 0, v.Exposure, "", v.Line),
            stored => Enumerable.Range(0, stored.Vectors.Count).Where(i => stored.Vectors[i].Time >= from && stored.Vectors[i].Time < to)
                .Select(i => (stored.Vectors[i].Row, new StoredWindVector(stored, i))));

    /// <summary>Vectors of an orbit, in order of exposure time, exposure and line.</summary>
    public IReadOnlyList<StoredWindVectors> OfOrbit(int orbit, string? line = null) => database.Read(c => c.Query<Row>(
        $"SELECT {Columns} FROM windVector WHERE orbit = @orbit AND (@line IS NULL OR line = @line) ORDER BY exposureTime, exposure, line", new { orbit, line }).Select(r => r.ToStored()).ToList());

    /// <summary>Vectors at the tangent points of the exposure with this number nearest to a moment; empty when there are none.</summary>
    public IReadOnlyList<StoredWindVectors> Exposure(long exposure, Instant near) => database.Read(c => c.Query<Row>(
        $"""
        SELECT {Columns} FROM windVector WHERE exposure = @exposure AND exposureTime = (
            SELECT exposureTime FROM windVector WHERE exposure = @exposure ORDER BY abs(exposureTime - @near), exposureTime LIMIT 1)
        ORDER BY orbit, line
        """, new { exposure, near }).Select(r => r.ToStored()).ToList());

    /// <summary>Numbers of the orbits from first to last (both included) that have vectors.</summary>
    public IReadOnlyList<int> OrbitsWithVectors(int first, int last) => database.Read(c => c.Query<int>(
        "SELECT DISTINCT orbit FROM windVector WHERE orbit BETWEEN @first AND @last ORDER BY orbit", new { first, last }).AsList());

    // One lower bound, so that a page deep in the list begins its search there.
    internal const string PageSql =
        $"""
        SELECT {Columns} FROM windVector
        WHERE (exposureTime, exposure, line) >= (@time, @exposure, @startLine) AND exposureTime < @latest AND firstTime < @to AND lastTime >= @from AND (@line IS NULL OR line = @line)
        ORDER BY exposureTime, exposure, line, orbit LIMIT @limit
        """;

    private static List<StoredWindVectors> Query(IDbConnection connection, RowPlace start, Instant from, Instant to, string? line, int limit) =>
        connection.Query<Row>(PageSql, new { time = start.Time, exposure = start.Exposure, startLine = start.Line, latest = Around(to, +1), from, to, line, limit }).Select(r => r.ToStored()).ToList();

    private static RowPlace First(Instant from) => RowPlace.Before(Around(from, -1));

    // The looks at one exposure's places lie within 20 minutes of it, so its vectors' times do as well: keeps the query on the index of exposure times.
    private static Instant Around(Instant time, int hours) => new((long)Int128.Clamp(time.TaiNanoseconds + (Int128)hours * Hour.Nanoseconds, long.MinValue, long.MaxValue));

    private sealed record Row
    {
        public long Id { get; init; }
        public int Orbit { get; init; }
        public string Line { get; init; } = "";
        public long Exposure { get; init; }
        public Instant ExposureTime { get; init; }
        public Instant FirstTime { get; init; }
        public Instant LastTime { get; init; }
        public byte[] Vectors { get; init; } = [];
        public long? CoefficientSet { get; init; }
        public string SoftwareVersion { get; init; } = "";
        public byte[] InputHash { get; init; } = [];

        public StoredWindVectors ToStored() => new()
        {
            Id = Id,
            Orbit = Orbit,
            Line = Line,
            Exposure = Exposure,
            ExposureTime = ExposureTime,
            Vectors = WindVectorVectors.Decode(Vectors, Line, Exposure, ExposureTime),
            CoefficientSet = CoefficientSet,
            SoftwareVersion = SoftwareVersion,
            InputHash = InputHash,
        };
    }
}
