using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>What decisions about coefficients make again: one row a decision, and one an orbit that still has what it had before.</summary>
public sealed class ReprocessingStore(Database database)
{
    private const string PausedKey = "reprocessing-paused";
    private const string Select =
        """
        SELECT r.*, (SELECT count(*) FROM reprocessingOrbit o WHERE o.decision = r.decision AND o.working = 0) AS waiting,
            (SELECT count(*) FROM reprocessingOrbit o WHERE o.decision = r.decision AND o.working = 1) AS working
        FROM reprocessing r
        """;

    /// <summary>Adds what a decision makes again.</summary>
    public static void Add(IDbTransaction transaction, ReprocessingRow row) => transaction.Connection!.Execute(
        """
        INSERT INTO reprocessing (decision, fromTime, toTime, firstOrbit, lastOrbit, orbits, started, finished)
        VALUES (@Decision, @FromTime, @ToTime, @FirstOrbit, @LastOrbit, @Orbits, @Started, @Finished)
        """, row, transaction);

    /// <summary>Lets orbits wait for a decision; one that waited for an earlier one is taken over.</summary>
    public static void Put(IDbTransaction transaction, long decision, IEnumerable<(int Orbit, long SetId)> orbits)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(orbits);
        var rows = orbits.Select(o => new { decision, orbit = o.Orbit, setId = o.SetId }).ToArray();
        TakeOver(transaction, rows.Select(r => r.orbit));
        transaction.Connection!.Execute("INSERT INTO reprocessingOrbit (orbit, decision, setId) VALUES (@orbit, @decision, @setId)", rows, transaction);
    }

    /// <summary>Takes waiting orbits from the decision that asked for them: a later one decides about them.</summary>
    public static void TakeOver(IDbTransaction transaction, IEnumerable<int> orbits)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        var keys = orbits.Select(orbit => new { orbit }).ToArray();
        transaction.Connection!.Execute(
            "UPDATE reprocessing SET takenOver = takenOver + 1 WHERE decision = (SELECT decision FROM reprocessingOrbit WHERE orbit = @orbit)", keys, transaction);
        transaction.Connection!.Execute("DELETE FROM reprocessingOrbit WHERE orbit = @orbit", keys, transaction);
    }

    /// <summary>Takes orbits into work.</summary>
    public static void SetWorking(IDbTransaction transaction, IEnumerable<int> orbits) =>
        transaction.Connection!.Execute("UPDATE reprocessingOrbit SET working = 1 WHERE orbit = @orbit", orbits.Select(orbit => new { orbit }), transaction);

    /// <summary>Orbits of those in work are through. <paramref name="ms"/>: how long it took; null when that is not known.</summary>
    public static void FinishWorking(IDbTransaction transaction, IReadOnlyCollection<int> orbits, double? ms)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(orbits);
        var connection = transaction.Connection!;
        if (orbits.Count == 0) return;
        if (ms is { } all)
            connection.Execute(
                """
                UPDATE reprocessing SET workedOrbits = workedOrbits + o.n, workedMs = workedMs + CAST(@all * o.n / @total AS INTEGER)
                FROM (SELECT decision AS d, count(*) AS n FROM reprocessingOrbit WHERE working = 1 AND orbit IN @orbits GROUP BY decision) o
                WHERE decision = o.d
                """, new { all, total = orbits.Count, orbits }, transaction);
        connection.Execute("DELETE FROM reprocessingOrbit WHERE working = 1 AND orbit IN @orbits", new { orbits }, transaction);
    }

    /// <summary>Notes the end of what has no orbit left.</summary>
    public static void Close(IDbTransaction transaction, Instant now) => transaction.Connection!.Execute(
        "UPDATE reprocessing SET finished = @now WHERE finished IS NULL AND NOT EXISTS (SELECT 1 FROM reprocessingOrbit o WHERE o.decision = reprocessing.decision)", new { now }, transaction);

    /// <summary>Notes that the winds of before a decision were given up.</summary>
    public static void SetRetired(IDbTransaction transaction, long decision, string by, string reason, Instant now) => transaction.Connection!.Execute(
        "UPDATE reprocessing SET retired = @now, retiredBy = @by, retireReason = @reason WHERE decision = @decision", new { decision, by, reason, now }, transaction);

    /// <summary>All, in the order of decisions.</summary>
    public IReadOnlyList<ReprocessingRow> All() => database.Read(c => c.Query<ReprocessingRow>(Select + " ORDER BY r.decision").AsList());

    /// <summary>What a decision makes again, within a transaction; null when it is not known.</summary>
    public static ReprocessingRow? Get(IDbTransaction transaction, long decision) =>
        transaction.Connection!.QuerySingleOrDefault<ReprocessingRow>(Select + " WHERE r.decision = @decision", new { decision }, transaction);

    /// <summary>Orbits that still have what they had before, or are in work; in order.</summary>
    public IReadOnlyList<ReprocessingOrbitRow> Orbits() => database.Read(c => c.Query<ReprocessingOrbitRow>("SELECT orbit, decision, setId, working FROM reprocessingOrbit ORDER BY orbit").AsList());

    /// <summary>Whether any orbit waits or is in work, within a transaction.</summary>
    public static bool AnyOrbit(IDbTransaction transaction) => transaction.Connection!.ExecuteScalar<long>("SELECT EXISTS (SELECT 1 FROM reprocessingOrbit)", transaction: transaction) == 1;

    /// <summary>Whether a person holds it; stays over a restart.</summary>
    public bool IsPaused => database.Read(c => c.ExecuteScalar<string?>("SELECT value FROM setting WHERE key = @PausedKey", new { PausedKey })) == "1";

    /// <summary>As <see cref="IsPaused"/>, within a transaction.</summary>
    public static bool IsPausedIn(IDbTransaction transaction) => SettingStore.Get(transaction, PausedKey) == "1";

    /// <summary>Holds it, or lets it go on.</summary>
    public static void SetPaused(IDbTransaction transaction, bool paused) => SettingStore.Set(transaction, PausedKey, paused ? "1" : "0");
}
