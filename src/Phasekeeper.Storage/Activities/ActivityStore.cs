using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>A planned activity: manoeuvre, lamp test, yaw turn, bake-out.</summary>
public sealed record ActivityRow
{
    /// <summary>Id.</summary>
    public long Id { get; init; }
    /// <summary>File that it came with; null = entered otherwise.</summary>
    public long? File { get; init; }
    /// <summary>The calendar's own id.</summary>
    public required string Uid { get; init; }
    /// <summary>Kind (category), e.g. manoeuvre.</summary>
    public required string Kind { get; init; }
    /// <summary>Title.</summary>
    public required string Title { get; init; }
    /// <summary>Start.</summary>
    public required Instant From { get; init; }
    /// <summary>End.</summary>
    public required Instant To { get; init; }
    /// <summary>Further text.</summary>
    public string Detail { get; init; } = "";
}

/// <summary>Planned activities, as the newest activity files give them.</summary>
public sealed class ActivityStore(Database database)
{
    /// <summary>Replaces all activities by those given (the union that the files in force give).</summary>
    public static void ReplaceAll(IDbTransaction transaction, IEnumerable<ActivityRow> activities)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        transaction.Connection!.Execute("DELETE FROM activity", transaction: transaction);
        transaction.Connection!.Execute(
            """
            INSERT INTO activity (file, uid, kind, title, "from", "to", detail) VALUES (@File, @Uid, @Kind, @Title, @From, @To, @Detail)
            """, activities, transaction);
    }

    /// <summary>Activities that touch [from, to), in order.</summary>
    public IReadOnlyList<ActivityRow> List(Instant from, Instant to) => database.Read(c => c.Query<ActivityRow>(
        """SELECT * FROM activity WHERE "from" < @to AND "to" > @from ORDER BY "from", uid""", new { from, to }).AsList());
}
