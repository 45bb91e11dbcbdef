using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>The state of a page under a name, for the whole team.</summary>
public sealed record SharedViewRow
{
    /// <summary>Id.</summary>
    public long Id { get; init; }
    /// <summary>Name; no two that stand have the same, whatever its capitals.</summary>
    public required string Name { get; init; }
    /// <summary>What there is to see; may be empty.</summary>
    public string Note { get; init; } = "";
    /// <summary>Path and query of the page.</summary>
    public required string Address { get; init; }
    /// <summary>Who saved it.</summary>
    public required string Actor { get; init; }
    /// <summary>When, wall clock.</summary>
    public required Instant Time { get; init; }
    /// <summary>Number of changes since.</summary>
    public long Revision { get; init; }
    /// <summary>Who changed it last.</summary>
    public required string ChangedBy { get; init; }
    /// <summary>When, wall clock.</summary>
    public required Instant Changed { get; init; }
    /// <summary>When it was retired, wall clock; null = it stands.</summary>
    public Instant? Retired { get; init; }
}

/// <summary>Shared views. They are never deleted, only retired.</summary>
public sealed class SharedViewStore(Database database)
{
    private const string Columns = "id, name, note, address, actor, time, revision, changedBy, changed, retired";

    /// <summary>Adds a view; gives its id, or null when one that stands has its name.</summary>
    public static long? Add(IDbTransaction transaction, SharedViewRow view)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(view);
        return transaction.Connection!.ExecuteScalar<long?>(
            """
            INSERT INTO sharedView (name, note, address, actor, time, changedBy, changed) VALUES (@Name, @Note, @Address, @Actor, @Time, @ChangedBy, @Changed) ON CONFLICT DO NOTHING RETURNING id
            """, view, transaction);
    }

    /// <summary>Writes name, note, who changed it and whether it stands; false when another one that stands has the name. The caller has compared the revision within the same transaction.</summary>
    public static bool Change(IDbTransaction transaction, SharedViewRow view)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(view);
        return transaction.Connection!.Execute(
            "UPDATE OR IGNORE sharedView SET name = @Name, note = @Note, revision = @Revision, changedBy = @ChangedBy, changed = @Changed, retired = @Retired WHERE id = @Id", view, transaction) > 0;
    }

    /// <summary>One view; null when there is none.</summary>
    public static SharedViewRow? Get(IDbTransaction transaction, long id)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.QuerySingleOrDefault<SharedViewRow>($"SELECT {Columns} FROM sharedView WHERE id = @id", new { id }, transaction);
    }

    /// <summary>Views that stand, by name.</summary>
    public IReadOnlyList<SharedViewRow> List() => database.Read(c => c.Query<SharedViewRow>($"SELECT {Columns} FROM sharedView WHERE retired IS NULL ORDER BY name COLLATE NOCASE, id").AsList());
}
