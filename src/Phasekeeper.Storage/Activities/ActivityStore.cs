using System.Data;
using Dapper;

namespace Phasekeeper.Storage;

/// <summary>What people entered, changed and cancelled of planned activities: every version, never changed. Calendars are files (<see cref="AuxiliaryStore"/>).</summary>
public sealed class ActivityStore(Database database)
{
    /// <summary>Work kind of versions that are to be taken up: key = the version's id.</summary>
    public const string TakeUp = "takeUpActivity";

    private const string Columns = """id, activity, kind, title, "from", "to", note, expects, status, sequence, actor, role, time, reason""";

    /// <summary>Adds a version and marks it to be taken up; gives its id.</summary>
    public static long Add(IDbTransaction transaction, ActivityVersionRow version)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(version);
        var id = transaction.Connection!.ExecuteScalar<long>(
            """
            INSERT INTO activityVersion (activity, kind, title, "from", "to", note, expects, status, sequence, actor, role, time, reason)
            VALUES (@Activity, @Kind, @Title, @From, @To, @Note, @Expects, @Status, @Sequence, @Actor, @Role, @Time, @Reason)
            RETURNING id
            """, version, transaction);
        WorkQueue.Mark(transaction, TakeUp, id, version.Time);
        return id;
    }

    /// <summary>All versions, oldest first.</summary>
    public IReadOnlyList<ActivityVersionRow> Versions() => database.Read(c => c.Query<ActivityVersionRow>($"SELECT {Columns} FROM activityVersion ORDER BY id").AsList());

    /// <summary>As <see cref="Versions()"/>, within a transaction: sees what it has written.</summary>
    public static IReadOnlyList<ActivityVersionRow> Versions(IDbTransaction transaction)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.Query<ActivityVersionRow>($"SELECT {Columns} FROM activityVersion ORDER BY id", transaction: transaction).AsList();
    }

    /// <summary>Versions of one activity, oldest first.</summary>
    public IReadOnlyList<ActivityVersionRow> History(string activity) => database.Read(c => c.Query<ActivityVersionRow>(
        $"SELECT {Columns} FROM activityVersion WHERE activity = @activity ORDER BY id", new { activity }).AsList());
}
