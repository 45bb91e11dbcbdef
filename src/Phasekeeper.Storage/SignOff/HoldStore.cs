using System.Data;
using Dapper;

namespace Phasekeeper.Storage;

/// <summary>Why an orbit's winds are held.</summary>
[Flags]
public enum HoldKind
{
    /// <summary>They are not.</summary>
    None = 0,
    /// <summary>The day on which the orbit begins is signed off as held.</summary>
    Day = 1,
    /// <summary>A person holds the orbit by itself.</summary>
    Orbit = 2,
}

/// <summary>
/// Which orbits' winds are held. A hold is a person's decision beside the products, never in them: the stored winds keep their bits. An orbit counts for the UTC day on which it begins.
/// </summary>
public sealed class HoldStore(Database database)
{
    private const string Columns = "id, orbit, revision, held, reason, actor, role, time";
    private const string NewestSql = $"SELECT {Columns} FROM orbitHold WHERE orbit = @orbit ORDER BY revision DESC LIMIT 1";

    /// <summary>Adds a hold or release.</summary>
    public static void Add(IDbTransaction transaction, OrbitHoldRow row)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        transaction.Connection!.Execute("INSERT INTO orbitHold (orbit, revision, held, reason, actor, role, time) VALUES (@Orbit, @Revision, @Held, @Reason, @Actor, @Role, @Time)", row, transaction);
    }

    /// <summary>The hold or release of an orbit that counts; null when it never had one.</summary>
    public static OrbitHoldRow? Newest(IDbTransaction transaction, int orbit)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.QuerySingleOrDefault<OrbitHoldRow>(NewestSql, new { orbit }, transaction);
    }

    /// <summary>Holds and releases of the orbits from first to last (both included), oldest first.</summary>
    public IReadOnlyList<OrbitHoldRow> History(int first, int last) => database.Read(c => c.Query<OrbitHoldRow>($"SELECT {Columns} FROM orbitHold WHERE orbit BETWEEN @first AND @last ORDER BY id", new { first, last }).AsList());

    /// <summary>The orbits from first to last (both included) that a person holds by themselves.</summary>
    public IReadOnlyList<OrbitHoldRow> HeldByThemselves(int first, int last) => database.Read(c => HeldByThemselves(c, first, last));

    /// <summary>Everything that is held from the first orbit to the last (both included), and why.</summary>
    public IReadOnlyDictionary<int, HoldKind> Held(int first = int.MinValue, int last = int.MaxValue) => database.Read(c =>
    {
        var held = HeldByThemselves(c, first, last).ToDictionary(r => r.Orbit, _ => HoldKind.Orbit);
        // A day is looked at where its orbits are: those of a few orbits do not ask for all days that were ever held.
        var start = c.ExecuteScalar<Core.Time.Instant?>("SELECT start FROM orbit WHERE orbit >= @first ORDER BY orbit LIMIT 1", new { first });
        var end = c.ExecuteScalar<Core.Time.Instant?>("SELECT start FROM orbit WHERE orbit <= @last ORDER BY orbit DESC LIMIT 1", new { last });
        if (start is not { } from || end is not { } to) return held;
        foreach (var day in c.Query<long>("SELECT day FROM signOff s WHERE day BETWEEN @a AND @b AND verdict = 'held' AND revision = (SELECT max(revision) FROM signOff WHERE day = s.day)",
            new { a = from.ToUnixDay().UnixDay, b = to.ToUnixDay().UnixDay }))
            foreach (var orbit in c.Query<int>("SELECT orbit FROM orbit WHERE start >= @from AND start < @to AND orbit BETWEEN @first AND @last",
                new { from = Core.Time.Instant.FromUnixDay(day, 0), to = Core.Time.Instant.FromUnixDay(day + 1, 0), first, last }))
                held[orbit] = held.GetValueOrDefault(orbit) | HoldKind.Day;
        return held;
    });

    /// <summary>Everything that is held between the least and the largest of some orbits, and why; nothing of none.</summary>
    public IReadOnlyDictionary<int, HoldKind> Of(IReadOnlyCollection<int> orbits)
    {
        ArgumentNullException.ThrowIfNull(orbits);
        return orbits.Count == 0 ? new Dictionary<int, HoldKind>() : Held(orbits.Min(), orbits.Max());
    }

    private static List<OrbitHoldRow> HeldByThemselves(IDbConnection connection, int first, int last) => connection.Query<OrbitHoldRow>(
        $"SELECT {Columns} FROM orbitHold h WHERE orbit BETWEEN @first AND @last AND held = 1 AND revision = (SELECT max(revision) FROM orbitHold WHERE orbit = h.orbit) ORDER BY orbit", new { first, last }).AsList();
}
