using System.Data;
using Dapper;

namespace Phasekeeper.Storage;

/// <summary>Key-value settings that belong to the data: the orbit-number anchor, rules in force, what a user last saw.</summary>
public sealed class SettingStore(Database database)
{
    /// <summary>The value of a key; null where it was never set.</summary>
    public string? Get(string key) => database.Read(c => Get(c, null, key));

    /// <summary>As <see cref="Get(string)"/>, within a transaction.</summary>
    public static string? Get(IDbTransaction transaction, string key) => Get(transaction.Connection!, transaction, key);

    /// <summary>Sets or replaces a value.</summary>
    public static void Set(IDbTransaction transaction, string key, string value) => transaction.Connection!.Execute(
        """
        INSERT INTO setting (key, value) VALUES (@key, @value)
        ON CONFLICT (key) DO UPDATE SET value = excluded.value
        """, new { key, value }, transaction);

    /// <summary>Sets a value unless the key has one; gives the value that is in force.</summary>
    public static string SetOnce(IDbTransaction transaction, string key, string value)
    {
        transaction.Connection!.Execute("INSERT INTO setting (key, value) VALUES (@key, @value) ON CONFLICT (key) DO NOTHING", new { key, value }, transaction);
        return Get(transaction, key)!;
    }

    /// <summary>Sets a value in a transaction of its own.</summary>
    public Task SetAsync(string key, string value, CancellationToken cancel = default) => database.WriteAsync(t => Set(t, key, value), cancel);

    private static string? Get(IDbConnection connection, IDbTransaction? transaction, string key) =>
        connection.QuerySingleOrDefault<string>("SELECT value FROM setting WHERE key = @key", new { key }, transaction);
}
