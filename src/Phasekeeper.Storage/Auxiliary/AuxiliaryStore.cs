using System.Data;
using System.Security.Cryptography;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>
/// Orbit, attitude and activity files, versioned and kept whole. Intake adds them and marks them as work; a stage reads them and
/// says what they cover, or refuses them with a reason.
/// </summary>
public sealed class AuxiliaryStore(Database database)
{
    private const string Columns =
        "id, kind, format, name, source, received, version, sha256, length, quality, state, reason, coverFrom, coverTo";

    /// <summary>Adds a file and marks it to be read; one with the same content is not added again (Added = false, with the first one's id).</summary>
    public static (long Id, bool Added) Add(IDbTransaction transaction, string kind, string format, string name, string source, byte[] content, Instant received)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(content);
        var connection = transaction.Connection!;
        var sha256 = SHA256.HashData(content);
        var known = connection.QuerySingleOrDefault<long?>("SELECT id FROM auxiliaryFile WHERE sha256 = @sha256", new { sha256 }, transaction);
        if (known is { } old) return (old, false);
        var id = connection.ExecuteScalar<long>(
            """
            INSERT INTO auxiliaryFile (kind, format, name, source, received, version, sha256, length, content, quality, state, reason)
            VALUES (@kind, @format, @name, @source, @received, 1 + coalesce((SELECT max(version) FROM auxiliaryFile WHERE kind = @kind), 0),
                @sha256, @length, @packed, 'unknown', 'received', '')
            RETURNING id
            """, new { kind, format, name, source, received, sha256, length = content.Length, packed = Zstd.Compress(content) }, transaction);
        WorkQueue.Mark(transaction, WorkQueue.ReadAuxiliary, id, received, priority: 1);
        return (id, true);
    }

    /// <summary>Says what a file covers, now that it was read.</summary>
    public static void SetRead(IDbTransaction transaction, long id, bool definitive, Instant coverFrom, Instant coverTo) => Changed(
        transaction.Connection!.Execute(
            "UPDATE auxiliaryFile SET state = 'read', reason = '', quality = @quality, coverFrom = @coverFrom, coverTo = @coverTo WHERE id = @id",
            new { id, quality = definitive ? "definitive" : "predicted", coverFrom, coverTo }, transaction), id);

    /// <summary>Keeps what is known of an orbit file without its states.</summary>
    public static void SetOutline(IDbTransaction transaction, long id, string outline) => Changed(
        transaction.Connection!.Execute("UPDATE auxiliaryFile SET outline = @outline WHERE id = @id", new { id, outline }, transaction), id);

    /// <summary>What <see cref="SetOutline"/> kept; null for a file of which nothing was kept.</summary>
    public string? Outline(long id) => database.Read(c => c.ExecuteScalar<string?>("SELECT outline FROM auxiliaryFile WHERE id = @id", new { id }));

    /// <summary>Refuses a file: it is kept, but nothing uses it.</summary>
    public static void SetRefused(IDbTransaction transaction, long id, string reason) => Changed(
        transaction.Connection!.Execute(
            "UPDATE auxiliaryFile SET state = 'refused', reason = @reason WHERE id = @id", new { id, reason }, transaction), id);

    /// <summary>Forgets a set of independent winds; a file that products name is never deleted, and asking for it is an error.</summary>
    /// <exception cref="KeyNotFoundException">There is no such set.</exception>
    public static void DeleteWinds(IDbTransaction transaction, long id)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        Changed(transaction.Connection!.Execute("DELETE FROM auxiliaryFile WHERE id = @id AND kind = @kind", new { id, kind = AuxiliaryKind.Winds }, transaction), id);
    }

    /// <summary>One file; null when there is none.</summary>
    public AuxiliaryRow? Get(long id) => database.Read(c => c.QuerySingleOrDefault<AuxiliaryRow>(
        $"SELECT {Columns} FROM auxiliaryFile WHERE id = @id", new { id }));

    /// <summary>The bytes of a file.</summary>
    /// <exception cref="KeyNotFoundException">No such file.</exception>
    public byte[] Content(long id)
    {
        var (content, length) = database.Read(c => c.QuerySingleOrDefault<(byte[]?, long)>(
            "SELECT content, length FROM auxiliaryFile WHERE id = @id", new { id }));
        return Zstd.Decompress(content ?? throw StorageErrors.NotFound("auxiliary file", id), checked((int)length));
    }

    /// <summary>Files of a kind (or all), in the order of arrival.</summary>
    public IReadOnlyList<AuxiliaryRow> List(string? kind = null) => database.Read(c => c.Query<AuxiliaryRow>(
        $"SELECT {Columns} FROM auxiliaryFile WHERE @kind IS NULL OR kind = @kind ORDER BY id", new { kind }).AsList());

    private static void Changed(int rows, long id)
    {
        if (rows == 0) throw StorageErrors.NotFound("auxiliary file", id);
    }
}
