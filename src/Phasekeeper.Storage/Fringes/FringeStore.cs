using System.Data;
using Dapper;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>
/// Fringe results: one row an exposure, kind, view and line. Raw counts are not kept here: they are in the archive
/// (<see cref="PacketArchive.ReadPackets"/>), from which an exposure's image can be decoded again.
/// </summary>
public sealed class FringeStore(Database database)
{
    private const string Columns =
        """
        id, hour, time, exposure, kind, view, line, orbit, integrationS, imageShiftSamples, imageShiftSigmaSamples, detectorC,
        frequencyOffsetPpm, frequencyOffsetSigmaPpm, rows, vectors, rowsHash, inputHash, coefficientSet, ephemerisFile, softwareVersion
        """;

    /// <summary>Replaces all results of an hour bucket.</summary>
    public static void ReplaceHour(IDbTransaction transaction, long hour, IEnumerable<StoredFringe> results)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(results);
        var connection = transaction.Connection!;
        connection.Execute("DELETE FROM fringe WHERE hour = @hour", new { hour }, transaction);
        connection.Execute(
            """
            INSERT INTO fringe (hour, time, exposure, kind, view, line, orbit, integrationS, imageShiftSamples, imageShiftSigmaSamples, detectorC,
                frequencyOffsetPpm, frequencyOffsetSigmaPpm, rows, vectors, rowsHash, inputHash, coefficientSet, ephemerisFile, softwareVersion)
            VALUES (@hour, @Time, @Exposure, @kind, @View, @Line, @Orbit, @IntegrationS, @shift, @shiftSigma, @detectorC,
                @frequency, @frequencySigma, @rows, @vectors, @RowsHash, @InputHash, @CoefficientSet, @EphemerisFile, @SoftwareVersion)
            """,
            results.Select(s => new
            {
                hour,
                s.Result.Time,
                s.Result.Exposure,
                kind = (int)s.Result.Kind,
                s.Result.View,
                s.Result.Line,
                s.Orbit,
                s.Result.IntegrationS,
                shift = s.Result.ImageShiftSamples.OrNull(),
                shiftSigma = s.Result.ImageShiftSigmaSamples.OrNull(),
                detectorC = s.Result.DetectorC.OrNull(),
                frequency = s.Result.FrequencyOffsetPpm.OrNull(),
                frequencySigma = s.Result.FrequencyOffsetSigmaPpm.OrNull(),
                rows = s.Result.Status.Length,
                vectors = FringeVectors.Encode(s.Result),
                s.RowsHash,
                s.InputHash,
                s.CoefficientSet,
                s.EphemerisFile,
                s.SoftwareVersion,
            }), transaction);
    }

    /// <summary>Gives the results with start ≤ time &lt; end their orbit number (an ephemeris came, or changed).</summary>
    public static void SetOrbit(IDbTransaction transaction, int orbit, Instant start, Instant end) => transaction.Connection!.Execute(
        "UPDATE fringe SET orbit = @orbit WHERE time >= @start AND time < @end AND orbit IS NOT @orbit", new { orbit, start, end }, transaction);

    /// <summary>Results with from ≤ time &lt; to in order of time, kind, exposure, view, line; of one kind, view, line, or all.</summary>
    public IReadOnlyList<StoredFringe> Read(Instant from, Instant to, ExposureKind? kind = null, string? view = null, string? line = null) =>
        database.Read(c => Query(c, RowPlace.Before(from), to, kind, view, line, -1));

    /// <summary>As <see cref="Read"/>, page by page, one item a detector row; rows without a packet are left out.</summary>
    public Page<StoredFringeRow> ListRows(Instant from, Instant to, int limit, string? next = null, ExposureKind? kind = null, string? view = null, string? line = null) =>
        RowPages.Of(from, limit, next, (start, count) => database.Read(c => Query(c, start, to, kind, view, line, count)),
            s => new(s.Result.Time, (int)s.Result.Kind, s.Result.Exposure, s.Result.View, s.Result.Line),
            stored => Enumerable.Range(0, stored.Result.Status.Length).Where(r => stored.Result.Status[r] != RowStatus.Missing).Select(r => (r, new StoredFringeRow(stored, r))));

    /// <summary>All views and lines of the exposure with this number nearest to a moment (numbers may start again); empty when there is none.</summary>
    public IReadOnlyList<StoredFringe> Exposure(long exposure, Instant near) => database.Read(c => c.Query<FringeColumns>(
        $"""
        SELECT {Columns} FROM fringe WHERE exposure = @exposure AND time = (
            SELECT time FROM fringe WHERE exposure = @exposure ORDER BY abs(time - @near), time LIMIT 1)
        ORDER BY view, line
        """, new { exposure, near }).Select(r => r.ToStored()).ToList());

    /// <summary>Results of an hour bucket, in order of time.</summary>
    public IReadOnlyList<StoredFringe> OfHour(long hour) => database.Read(c => c.Query<FringeColumns>(
        $"SELECT {Columns} FROM fringe WHERE hour = @hour ORDER BY time, kind, exposure, view, line", new { hour }).Select(r => r.ToStored()).ToList());

    /// <summary>Results of an orbit, in order of time.</summary>
    public IReadOnlyList<StoredFringe> OfOrbit(int orbit) => database.Read(c => c.Query<FringeColumns>(
        $"SELECT {Columns} FROM fringe WHERE orbit = @orbit ORDER BY time, kind, exposure, view, line", new { orbit }).Select(r => r.ToStored()).ToList());

    /// <summary>
    /// Stretches of scene exposures in [from, to) that no orbit (or attitude) file covered, so that their motion could not be taken out;
    /// neighbours closer than an hour make one stretch.
    /// </summary>
    public IReadOnlyList<(Instant From, Instant To)> WithoutMotion(Instant from, Instant to)
    {
        var times = database.Read(c => c.Query<long>(
            "SELECT DISTINCT time FROM fringe WHERE time >= @from AND time < @to AND kind = @scene AND ephemerisFile IS NULL ORDER BY time",
            new { from, to, scene = (int)ExposureKind.Scene }).AsList());
        var stretches = new List<(Instant From, Instant To)>();
        foreach (var time in times.Select(t => new Instant(t)))
            if (stretches.Count > 0 && time - stretches[^1].To < 3600) stretches[^1] = (stretches[^1].From, time);
            else stretches.Add((time, time));
        return stretches;
    }

    /// <summary>Time of the first scene or lamp exposure; null when there is none.</summary>
    public Instant? FirstTime => database.Read(c => c.ExecuteScalar<long?>("SELECT min(time) FROM fringe WHERE kind IN (@scene, @lamp)",
        new { scene = (int)ExposureKind.Scene, lamp = (int)ExposureKind.Lamp })) is { } t ? new Instant(t) : null;

    /// <summary>Hours that hold results with from ≤ time &lt; to, in order.</summary>
    public IReadOnlyList<long> Hours(Instant from, Instant to) =>
        database.Read(c => c.Query<long>("SELECT DISTINCT hour FROM fringe WHERE time >= @from AND time < @to ORDER BY hour", new { from, to }).AsList());

    /// <summary>Hours first…last (inclusive) that hold results, in order; from one hour to the next by the index, so that years cost no more than their hours.</summary>
    public IReadOnlyList<long> HoursBetween(long first, long last) => database.Read(c => c.Query<long>(
        """
        WITH RECURSIVE h (hour) AS (SELECT min(hour) FROM fringe WHERE hour >= @first UNION ALL SELECT (SELECT min(hour) FROM fringe WHERE hour > h.hour) FROM h WHERE h.hour IS NOT NULL AND h.hour <= @last)
        SELECT hour FROM h WHERE hour <= @last
        """, new { first, last }).AsList());

    /// <summary>Number of results and time of the last one.</summary>
    public (long Count, Instant? LastTime) Size()
    {
        var (count, last) = database.Read(c => c.QuerySingle<(long, long?)>("SELECT count(*), max(time) FROM fringe"));
        return (count, last is { } t ? new Instant(t) : null);
    }

    // One lower bound, so that a page deep in the list begins its search there.
    internal const string PageSql =
        $"""
        SELECT {Columns} FROM fringe
        WHERE (time, kind, exposure, view, line) >= (@time, @startKind, @exposure, @startView, @startLine) AND time < @to
            AND (@kind IS NULL OR kind = @kind) AND (@view IS NULL OR view = @view) AND (@line IS NULL OR line = @line)
        ORDER BY time, kind, exposure, view, line LIMIT @limit
        """;

    private static List<StoredFringe> Query(IDbConnection connection, RowPlace start, Instant to, ExposureKind? kind, string? view, string? line, int limit) =>
        connection.Query<FringeColumns>(PageSql, new
        {
            time = start.Time,
            startKind = start.Kind,
            exposure = start.Exposure,
            startView = start.View,
            startLine = start.Line,
            to,
            kind = (int?)kind,
            view,
            line,
            limit,
        }).Select(r => r.ToStored()).ToList();

    private sealed record FringeColumns
    {
        public long Id { get; init; }
        public long Hour { get; init; }
        public Instant Time { get; init; }
        public long Exposure { get; init; }
        public int Kind { get; init; }
        public string View { get; init; } = "";
        public string Line { get; init; } = "";
        public int? Orbit { get; init; }
        public double IntegrationS { get; init; }
        public double? ImageShiftSamples { get; init; }
        public double? ImageShiftSigmaSamples { get; init; }
        public double? DetectorC { get; init; }
        public double? FrequencyOffsetPpm { get; init; }
        public double? FrequencyOffsetSigmaPpm { get; init; }
        public int Rows { get; init; }
        public byte[] Vectors { get; init; } = [];
        public byte[] RowsHash { get; init; } = [];
        public byte[] InputHash { get; init; } = [];
        public long? CoefficientSet { get; init; }
        public long? EphemerisFile { get; init; }
        public string SoftwareVersion { get; init; } = "";

        public StoredFringe ToStored() => new()
        {
            Id = Id,
            Hour = Hour,
            Orbit = Orbit,
            RowsHash = RowsHash,
            InputHash = InputHash,
            CoefficientSet = CoefficientSet,
            EphemerisFile = EphemerisFile,
            SoftwareVersion = SoftwareVersion,
            Result = FringeVectors.Decode(Vectors, Rows, new FringeResult
            {
                Exposure = Exposure,
                Kind = (ExposureKind)Kind,
                View = View,
                Line = Line,
                Time = Time,
                IntegrationS = IntegrationS,
                ImageShiftSamples = ImageShiftSamples.OrNaN(),
                ImageShiftSigmaSamples = ImageShiftSigmaSamples.OrNaN(),
                DetectorC = DetectorC.OrNaN(),
                FrequencyOffsetPpm = FrequencyOffsetPpm.OrNaN(),
                FrequencyOffsetSigmaPpm = FrequencyOffsetSigmaPpm.OrNaN(),
                Status = [],
                PhaseRad = [],
                PhaseSigmaRad = [],
                Visibility = [],
                VisibilitySigma = [],
                SignalElectrons = [],
                SignalSigmaElectrons = [],
                ChiSquare = [],
                MaskedSamples = [],
                SpikeSamples = [],
                SaturatedSamples = [],
                VelocityRemovedMs = [],
            }),
        };
    }
}
