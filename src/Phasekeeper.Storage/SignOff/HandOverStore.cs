using System.Data;
using Dapper;

namespace Phasekeeper.Storage;

/// <summary>Notes from shift to shift, and who read them. Only ever added to.</summary>
public sealed class HandOverStore(Database database)
{
    private const string Columns = "id, day, text, actor, role, time";

    /// <summary>Adds a note; gives its id.</summary>
    public static long Add(IDbTransaction transaction, HandOverRow row)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.ExecuteScalar<long>("INSERT INTO handOver (day, text, actor, role, time) VALUES (@Day, @Text, @Actor, @Role, @Time) RETURNING id", row, transaction);
    }

    /// <summary>Notes that somebody read a note; false when they had before.</summary>
    public static bool AddRead(IDbTransaction transaction, HandOverReadRow row)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.Execute("INSERT INTO handOverRead (note, actor, time) VALUES (@Note, @Actor, @Time) ON CONFLICT (note, actor) DO NOTHING", row, transaction) == 1;
    }

    /// <summary>One note; null when there is none.</summary>
    public HandOverRow? Get(long id) => database.Read(c => c.QuerySingleOrDefault<HandOverRow>($"SELECT {Columns} FROM handOver WHERE id = @id", new { id }));

    /// <summary>The newest notes, newest first.</summary>
    public IReadOnlyList<HandOverRow> Newest(int limit) => database.Read(c => c.Query<HandOverRow>($"SELECT {Columns} FROM handOver ORDER BY id DESC LIMIT @limit", new { limit }).AsList());

    /// <summary>Notes about some days (days since 1970-01-01, both included), and those about none in particular that were written from a wall clock time up to another (exclusive); oldest first.</summary>
    public IReadOnlyList<HandOverRow> Of(long firstDay, long lastDay, Core.Time.Instant from, Core.Time.Instant to) => database.Read(c => c.Query<HandOverRow>(
        $"SELECT {Columns} FROM handOver WHERE day BETWEEN @firstDay AND @lastDay OR (day IS NULL AND time >= @from AND time < @to) ORDER BY id", new { firstDay, lastDay, from, to }).AsList());

    /// <summary>Who read which of some notes, in the order in which they did.</summary>
    public ILookup<long, HandOverReadRow> Reads(IReadOnlyCollection<long> notes) => database.Read(c =>
        c.Query<HandOverReadRow>("SELECT note, actor, time FROM handOverRead WHERE note IN @notes ORDER BY time, actor", new { notes }).ToLookup(r => r.Note));
}
