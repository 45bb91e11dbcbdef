using System.Data;
using Dapper;

namespace Phasekeeper.Storage;

/// <summary>The forms of a store by number, as far as they are known; forms are only ever added.</summary>
internal sealed class TelemetryForms
{
    private readonly Dictionary<long, TelemetryForm> byId = [];
    private readonly Dictionary<string, long> ids = new(StringComparer.Ordinal);
    private readonly Lock gate = new();

    /// <summary>The form of a number.</summary>
    public TelemetryForm Get(long id, IDbConnection connection, IDbTransaction? transaction)
    {
        lock (gate)
        {
            if (byId.TryGetValue(id, out var known)) return known;
            Load(connection, transaction);
            return byId.TryGetValue(id, out var form) ? form : throw StorageErrors.BlobDamaged("series", $"form {id}, which the store does not have");
        }
    }

    /// <summary>The number of a form's bytes; a new one where the store does not have it.</summary>
    public long IdOf(byte[] form, IDbTransaction transaction)
    {
        var key = Convert.ToBase64String(form);
        lock (gate)
        {
            if (ids.Count == 0) Load(transaction.Connection!, transaction);
            if (ids.TryGetValue(key, out var known)) return known;
            var id = transaction.Connection!.ExecuteScalar<long>("INSERT INTO telemetryForm (form) VALUES (@form) RETURNING id", new { form }, transaction);
            ids[key] = id;
            return id;
        }
    }

    private void Load(IDbConnection connection, IDbTransaction? transaction)
    {
        foreach (var (id, form) in connection.Query<(long, byte[])>("SELECT id, form FROM telemetryForm", transaction: transaction))
        {
            ids[Convert.ToBase64String(form)] = id;
            byId.TryAdd(id, TelemetryForm.Decode(form));
        }
    }
}
