using System.Data;
using Dapper;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Storage;

/// <summary>Line-of-sight winds: one row an exposure, view and line, replaced orbit by orbit.</summary>
public sealed class WindStore(Database database)
{
    private const string Columns =
        "id, time, exposure, view, line, orbit, rows, vectors, correlationKm, topScaleHeightKm, misfitChiSquare, coefficientSet, ephemerisFile, attitudeFile, softwareVersion, inputHash";

    /// <summary>Replaces all winds of an orbit. An exposure that another orbit held (its limits moved) comes to this one.</summary>
    public static void ReplaceOrbit(IDbTransaction transaction, int orbit, IEnumerable<StoredLosWind> winds)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(winds);
        var connection = transaction.Connection!;
        StoredLosWind[] all = [.. winds];
        connection.Execute("DELETE FROM losWind WHERE orbit = @orbit", new { orbit }, transaction);
        connection.Execute(
            """
            INSERT OR REPLACE INTO losWind (time, exposure, view, line, orbit, rows, vectors, correlationKm, topScaleHeightKm, misfitChiSquare,
                coefficientSet, ephemerisFile, attitudeFile, softwareVersion, inputHash)
            VALUES (@Time, @Exposure, @View, @Line, @orbit, @rows, @vectors, @correlation, @scaleHeight, @misfit,
                @CoefficientSet, @EphemerisFile, @AttitudeFile, @SoftwareVersion, @InputHash)
            """,
            all.Select(w => new
            {
                w.Profile.Time,
                w.Profile.Exposure,
                w.Profile.View,
                w.Profile.Line,
                orbit = w.Orbit == orbit ? orbit : throw new ArgumentException($"A wind of orbit {w.Orbit} was given to replace orbit {orbit}.", nameof(winds)),
                rows = w.Profile.Rows.Count,
                vectors = LosWindVectors.Encode(w.Profile),
                correlation = w.Profile.CorrelationKm.OrNull(),
                scaleHeight = w.Profile.TopScaleHeightKm.OrNull(),
                misfit = w.Profile.MisfitChiSquare.OrNull(),
                w.CoefficientSet,
                w.EphemerisFile,
                w.AttitudeFile,
                w.SoftwareVersion,
                w.InputHash,
            }), transaction);
        WindFigureStore.ReplaceOrbit(transaction, orbit, all);
    }

    /// <summary>Winds with from ≤ time &lt; to in order of time, exposure, view, line; of one view and line, or all.</summary>
    public IReadOnlyList<StoredLosWind> Read(Instant from, Instant to, string? view = null, string? line = null) =>
        database.Read(c => Query(c, RowPlace.Before(from), to, view, line, -1));

    /// <summary>As <see cref="Read"/>, page by page, one item a detector row.</summary>
    public Page<StoredLosWindRow> ListRows(Instant from, Instant to, int limit, string? next = null, string? view = null, string? line = null) =>
        RowPages.Of(from, limit, next, (start, count) => database.Read(c => Query(c, start, to, view, line, count)), s => new(s.Profile.Time, 0, s.Profile.Exposure, s.Profile.View, s.Profile.Line),
            stored => Enumerable.Range(0, stored.Profile.Rows.Count).Select(r => (r, new StoredLosWindRow(stored, r))));

    /// <summary>All views and lines of the exposure with this number nearest to a moment (numbers may start again); empty when there is none.</summary>
    public IReadOnlyList<StoredLosWind> Exposure(long exposure, Instant near) => database.Read(c => c.Query<Row>(
        $"""
        SELECT {Columns} FROM losWind WHERE exposure = @exposure AND time = (
            SELECT time FROM losWind WHERE exposure = @exposure ORDER BY abs(time - @near), time LIMIT 1)
        ORDER BY view, line
        """, new { exposure, near }).Select(r => r.ToStored()).ToList());

    /// <summary>Winds of an orbit, in order of time, exposure, view, line.</summary>
    public IReadOnlyList<StoredLosWind> OfOrbit(int orbit, string? view = null, string? line = null) => database.Read(c => c.Query<Row>(
        $"""
        SELECT {Columns} FROM losWind WHERE orbit = @orbit AND (@view IS NULL OR view = @view) AND (@line IS NULL OR line = @line)
        ORDER BY time, exposure, view, line
        """, new { orbit, view, line }).Select(r => r.ToStored()).ToList());

    /// <summary>Fingerprints of an orbit's winds: of what went in, for each exposure, view and line.</summary>
    public IReadOnlyList<byte[]> HashesOfOrbit(int orbit) => database.Read(c => c.Query<byte[]>(
        "SELECT inputHash FROM losWind WHERE orbit = @orbit ORDER BY time, exposure, view, line", new { orbit }).AsList());

    /// <summary>Numbers of the orbits from first to last (both included) that have winds.</summary>
    public IReadOnlyList<int> OrbitsWithWinds(int first, int last) => database.Read(c => c.Query<int>(
        "SELECT DISTINCT orbit FROM losWind WHERE orbit BETWEEN @first AND @last ORDER BY orbit", new { first, last }).AsList());

    /// <summary>Number of profiles, time of the first and of the last one.</summary>
    public (long Count, Instant? FirstTime, Instant? LastTime) Size()
    {
        var (count, first, last) = database.Read(c => c.QuerySingle<(long, long?, long?)>("SELECT count(*), min(time), max(time) FROM losWind"));
        return (count, first is { } f ? new Instant(f) : null, last is { } t ? new Instant(t) : null);
    }

    /// <summary>The newest orbit with winds; null when there is none.</summary>
    public int? NewestOrbit() => database.Read(c => c.ExecuteScalar<int?>("SELECT max(orbit) FROM losWind"));

    // One lower bound, so that a page deep in the list begins its search there.
    internal const string PageSql =
        $"""
        SELECT {Columns} FROM losWind
        WHERE (time, exposure, view, line) >= (@time, @exposure, @startView, @startLine) AND time < @to AND (@view IS NULL OR view = @view) AND (@line IS NULL OR line = @line)
        ORDER BY time, exposure, view, line LIMIT @limit
        """;

    private static List<StoredLosWind> Query(IDbConnection connection, RowPlace start, Instant to, string? view, string? line, int limit) =>
        connection.Query<Row>(PageSql, new { time = start.Time, exposure = start.Exposure, startView = start.View, startLine = start.Line, to, view, line, limit }).Select(r => r.ToStored()).ToList();

    private sealed record Row
    {
        public long Id { get; init; }
        public Instant Time { get; init; }
        public long Exposure { get; init; }
        public string View { get; init; } = "";
        public string Line { get; init; } = "";
        public int Orbit { get; init; }
        public int Rows { get; init; }
        public byte[] Vectors { get; init; } = [];
        public double? CorrelationKm { get; init; }
        public double? TopScaleHeightKm { get; init; }
        public double? MisfitChiSquare { get; init; }
        public long? CoefficientSet { get; init; }
        public long? EphemerisFile { get; init; }
        public long? AttitudeFile { get; init; }
        public string SoftwareVersion { get; init; } = "";
        public byte[] InputHash { get; init; } = [];

        public StoredLosWind ToStored() => new()
        {
            Id = Id,
            Orbit = Orbit,
            CoefficientSet = CoefficientSet,
            EphemerisFile = EphemerisFile,
            AttitudeFile = AttitudeFile,
            SoftwareVersion = SoftwareVersion,
            InputHash = InputHash,
            Profile = LosWindVectors.Decode(Vectors, Rows, new LosWindProfile
            {
                Time = Time,
                Exposure = Exposure,
                View = View,
                Line = Line,
                Rows = [],
                CorrelationKm = CorrelationKm.OrNaN(),
                TopScaleHeightKm = TopScaleHeightKm.OrNaN(),
                MisfitChiSquare = MisfitChiSquare.OrNaN(),
            }),
        };
    }
}
