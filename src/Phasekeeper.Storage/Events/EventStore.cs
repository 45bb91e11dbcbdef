using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>Something that a person may want to know of since they last looked.</summary>
public sealed record EventRow
{
    /// <summary>Grows with time; never used again.</summary>
    public long Id { get; init; }
    /// <summary>Wall clock.</summary>
    public required Instant Time { get; init; }
    /// <summary>Kind, e.g. flag, orbit, file, coefficients, ingest.</summary>
    public required string Kind { get; init; }
    /// <summary>What it is about: an id that the page of the kind understands.</summary>
    public required string Subject { get; init; }
    /// <summary>One sentence.</summary>
    public required string Text { get; init; }
}

/// <summary>The feed "what changed since you last looked".</summary>
public sealed class EventStore(Database database)
{
    /// <summary>Adds an event; gives its id.</summary>
    public static long Add(IDbTransaction transaction, Instant time, string kind, string subject, string text) =>
        transaction.Connection!.ExecuteScalar<long>(
            "INSERT INTO event (time, kind, subject, text) VALUES (@time, @kind, @subject, @text) RETURNING id",
            new { time, kind, subject, text }, transaction);

    /// <summary>Events after an id, oldest first.</summary>
    public IReadOnlyList<EventRow> After(long id, int limit = 1000) => database.Read(c => c.Query<EventRow>(
        "SELECT id, time, kind, subject, text FROM event WHERE id > @id ORDER BY id LIMIT @limit", new { id, limit }).AsList());

    /// <summary>The newest events, newest first.</summary>
    public IReadOnlyList<EventRow> Newest(int limit = 100) => database.Read(c => c.Query<EventRow>(
        "SELECT id, time, kind, subject, text FROM event ORDER BY id DESC LIMIT @limit", new { limit }).AsList());

    /// <summary>Id of the newest event; 0 when there is none.</summary>
    public long LastId => database.Read(c => c.ExecuteScalar<long>("SELECT coalesce(max(id), 0) FROM event"));
}
