using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>A note that someone pinned to a stretch of mission time.</summary>
public sealed record AnnotationRow
{
    /// <summary>Id.</summary>
    public long Id { get; init; }
    /// <summary>Start, mission time.</summary>
    public required Instant From { get; init; }
    /// <summary>End; the same as <see cref="From"/> for an instant.</summary>
    public required Instant To { get; init; }
    /// <summary>What was written.</summary>
    public required string Text { get; init; }
    /// <summary>View that it speaks of; null = none alone.</summary>
    public string? View { get; init; }
    /// <summary>Line that it speaks of; null = none alone.</summary>
    public string? Line { get; init; }
    /// <summary>Telemetry channel that it speaks of; null = none alone.</summary>
    public string? Channel { get; init; }
    /// <summary>Who wrote it.</summary>
    public required string Actor { get; init; }
    /// <summary>When, wall clock.</summary>
    public required Instant Time { get; init; }
    /// <summary>When it was retired, wall clock; null = it stands.</summary>
    public Instant? Retired { get; init; }
    /// <summary>Who retired it; null = it stands.</summary>
    public string? RetiredBy { get; init; }
}

/// <summary>Notes on stretches of mission time. They are never changed, only retired.</summary>
public sealed class AnnotationStore(Database database)
{
    /// <summary>Longest stretch, s (chosen: five weeks, longer than any activity or storm; it bounds what a plot has to search).</summary>
    public const double LongestS = 35 * 86400.0;

    private const string Columns = """id, "from", "to", text, view, line, channel, actor, time, retired, retiredBy""";

    internal const string TouchingSql = $"""SELECT {Columns} FROM annotation WHERE retired IS NULL AND "from" >= @earliest AND "from" <= @to AND "to" >= @from ORDER BY "from", id LIMIT @limit""";

    /// <summary>Adds a note; gives its id.</summary>
    public static long Add(IDbTransaction transaction, AnnotationRow note)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(note);
        return transaction.Connection!.ExecuteScalar<long>(
            """INSERT INTO annotation ("from", "to", text, view, line, channel, actor, time) VALUES (@From, @To, @Text, @View, @Line, @Channel, @Actor, @Time) RETURNING id""", note, transaction);
    }

    /// <summary>Retires a note; false when there is none that stands.</summary>
    public static bool Retire(IDbTransaction transaction, long id, string actor, Instant time)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.Execute("UPDATE annotation SET retired = @time, retiredBy = @actor WHERE id = @id AND retired IS NULL", new { id, actor, time }, transaction) > 0;
    }

    /// <summary>One note; null when there is none.</summary>
    public static AnnotationRow? Get(IDbTransaction transaction, long id)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.QuerySingleOrDefault<AnnotationRow>($"SELECT {Columns} FROM annotation WHERE id = @id", new { id }, transaction);
    }

    /// <summary>Notes that stand and touch [from, to], in the order of their start. One search of an index.</summary>
    public IReadOnlyList<AnnotationRow> Touching(Instant from, Instant to, int limit) => database.Read(c => c.Query<AnnotationRow>(
        TouchingSql, new { from, to, earliest = from.AddSeconds(-LongestS), limit }).AsList());

    /// <summary>The newest notes, retired ones included, newest first.</summary>
    public IReadOnlyList<AnnotationRow> Newest(int limit) => database.Read(c => c.Query<AnnotationRow>($"SELECT {Columns} FROM annotation ORDER BY id DESC LIMIT @limit", new { limit }).AsList());
}
