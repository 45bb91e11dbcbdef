using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>Orbits: one row each, replaced when the orbit is computed again.</summary>
public sealed class OrbitStore(Database database)
{
    /// <summary>Adds or replaces an orbit.</summary>
    public static void Replace(IDbTransaction transaction, OrbitRow row) => transaction.Connection!.Execute(
        """
        INSERT INTO orbit (orbit, start, "end", betaDeg, eclipseFraction, eclipseStart, eclipseEnd, expectedExposures, receivedExposures,
            expectedRows, receivedRows, verdict, verdictReasons, provisional, ephemerisFile, coefficientSet, softwareVersion, detail)
        VALUES (@Orbit, @Start, @End, @BetaDeg, @EclipseFraction, @EclipseStart, @EclipseEnd, @ExpectedExposures, @ReceivedExposures,
            @ExpectedRows, @ReceivedRows, @Verdict, @VerdictReasons, @Provisional, @EphemerisFile, @CoefficientSet, @SoftwareVersion, @Detail)
        ON CONFLICT (orbit) DO UPDATE SET start = excluded.start, "end" = excluded."end", betaDeg = excluded.betaDeg,
            eclipseFraction = excluded.eclipseFraction, eclipseStart = excluded.eclipseStart, eclipseEnd = excluded.eclipseEnd,
            expectedExposures = excluded.expectedExposures, receivedExposures = excluded.receivedExposures,
            expectedRows = excluded.expectedRows, receivedRows = excluded.receivedRows, verdict = excluded.verdict,
            verdictReasons = excluded.verdictReasons, provisional = excluded.provisional, ephemerisFile = excluded.ephemerisFile,
            coefficientSet = excluded.coefficientSet, softwareVersion = excluded.softwareVersion, detail = excluded.detail
        """, row, transaction);

    /// <summary>Sets the verdict alone (flags changed, the orbit's numbers did not).</summary>
    public static void SetVerdict(IDbTransaction transaction, int orbit, string verdict, string reasons) => transaction.Connection!.Execute(
        "UPDATE orbit SET verdict = @verdict, verdictReasons = @reasons WHERE orbit = @orbit", new { orbit, verdict, reasons }, transaction);

    /// <summary>Sets the limits alone (another ephemeris came); its values follow when it is computed again.</summary>
    public static void SetLimits(IDbTransaction transaction, int orbit, Instant start, Instant end) => transaction.Connection!.Execute(
        """UPDATE orbit SET start = @start, "end" = @end WHERE orbit = @orbit""", new { orbit, start, end }, transaction);

    /// <summary>Removes an orbit (its data went to others when a better ephemeris came).</summary>
    public static void Delete(IDbTransaction transaction, int orbit) =>
        transaction.Connection!.Execute("DELETE FROM orbit WHERE orbit = @orbit", new { orbit }, transaction);

    /// <summary>One orbit; null when it is not known.</summary>
    public OrbitRow? Get(int orbit) => database.Read(c => c.QuerySingleOrDefault<OrbitRow>(
        "SELECT * FROM orbit WHERE orbit = @orbit", new { orbit }));

    /// <summary>As <see cref="Get(int)"/>, within a transaction.</summary>
    public static OrbitRow? Get(IDbTransaction transaction, int orbit) => transaction.Connection!.QuerySingleOrDefault<OrbitRow>(
        "SELECT * FROM orbit WHERE orbit = @orbit", new { orbit }, transaction);

    /// <summary>The orbit that holds a moment; null when none does.</summary>
    public OrbitRow? At(Instant time) => database.Read(c => c.QuerySingleOrDefault<OrbitRow>(
        """SELECT * FROM (SELECT * FROM orbit WHERE start <= @time ORDER BY start DESC LIMIT 1) WHERE "end" > @time""", new { time }));

    /// <summary>The newest orbits, newest first.</summary>
    public IReadOnlyList<OrbitRow> Newest(int limit) => database.Read(c => c.Query<OrbitRow>(
        "SELECT * FROM orbit ORDER BY orbit DESC LIMIT @limit", new { limit }).AsList());

    /// <summary>Orbits that start in [from, to), in order.</summary>
    public Page<OrbitRow> List(Instant from, Instant to, int limit, string? next = null)
    {
        var after = Continuation.Read(next, 1)?[0] ?? long.MinValue;
        return Continuation.Page(database.Read(c => c.Query<OrbitRow>(
            """
            SELECT * FROM orbit WHERE start >= @from AND start < @to AND orbit > @after ORDER BY orbit LIMIT @limit + 1
            """, new { from, to, after, limit }).AsList()), limit, r => [r.Orbit]);
    }

    /// <summary>Number of stored orbits.</summary>
    public long Count => database.Read(c => c.ExecuteScalar<long>("SELECT count(*) FROM orbit"));

    /// <summary>Numbers of the stored orbits from first to last, both included.</summary>
    public IReadOnlyList<int> Between(int first, int last) => database.Read(c => c.Query<int>(
        "SELECT orbit FROM orbit WHERE orbit BETWEEN @first AND @last ORDER BY orbit", new { first, last }).AsList());

    /// <summary>Number of the first stored orbit; null when there are none.</summary>
    public int? First => database.Read(c => c.ExecuteScalar<int?>("SELECT min(orbit) FROM orbit"));

    /// <summary>Number of the last stored orbit; null when there are none.</summary>
    public int? Last => database.Read(c => c.ExecuteScalar<int?>("SELECT max(orbit) FROM orbit"));

    // Number of the first orbit that ends after @from: the one that is going on, or the next, found by the index of starts, not by looking at every orbit since the first.
    internal const string FirstEndingAfterFrom =
        """
        SELECT min(orbit) FROM (
            SELECT orbit FROM (SELECT orbit, "end" FROM orbit WHERE start <= @from ORDER BY start DESC LIMIT 1) WHERE "end" > @from
            UNION ALL SELECT orbit FROM (SELECT orbit FROM orbit WHERE start > @from ORDER BY start LIMIT 1))
        """;

    /// <summary>Number of the first orbit that ends after a moment; null when none does.</summary>
    public int? FirstEndingAfter(Instant time) => database.Read(c => c.ExecuteScalar<int?>(FirstEndingAfterFrom, new { from = time }));

    /// <summary>Numbers and limits of the stored orbits from first to last, both included, in order: of thousands of orbits the rest of their rows is much.</summary>
    public IReadOnlyList<(int Orbit, Instant Start, Instant End)> Spans(int first, int last) => database.Read(c => c.Query<(int, long, long)>(
        """SELECT orbit, start, "end" FROM orbit WHERE orbit BETWEEN @first AND @last ORDER BY orbit""", new { first, last })
        .Select(o => (o.Item1, new Instant(o.Item2), new Instant(o.Item3))).ToList());

    /// <summary>The stored orbits from first to last, both included, in order.</summary>
    public IReadOnlyList<OrbitRow> Rows(int first, int last) => database.Read(c => c.Query<OrbitRow>(
        "SELECT * FROM orbit WHERE orbit BETWEEN @first AND @last ORDER BY orbit", new { first, last }).AsList());

    /// <summary>Provisional orbits whose end lies at least <paramref name="lengths"/> times their own length before a moment: what they waited for is over.</summary>
    public IReadOnlyList<int> ProvisionalBefore(Instant time, int lengths) => database.Read(c => c.Query<int>(
        """
        SELECT orbit FROM orbit WHERE provisional = 1 AND "end" <= @time AND "end" + @lengths * ("end" - start) <= @time ORDER BY orbit
        """, new { time, lengths }).AsList());

    /// <summary>Numbers of the orbits that begin within [from, to), in order, from the index alone.</summary>
    public IReadOnlyList<int> BeginningIn(Instant from, Instant to) => database.Read(c => c.Query<int>(
        "SELECT orbit FROM orbit WHERE start >= @from AND start < @to ORDER BY orbit", new { from, to }).AsList());

    /// <summary>Orbits that touch [from, to): also one that started before, in order.</summary>
    public IReadOnlyList<OrbitRow> Touching(Instant from, Instant to) => database.Read(c => c.Query<OrbitRow>(
        """
        SELECT * FROM orbit WHERE start >= coalesce((SELECT max(start) FROM orbit WHERE start <= @from), @from) AND start < @to AND "end" > @from ORDER BY orbit
        """, new { from, to }).AsList());
}
