using Dapper;
using Microsoft.Data.Sqlite;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage.Tests;

/// <summary>Stores in a folder of their own, deleted at the end.</summary>
internal sealed class TempStores : IDisposable
{
    public static readonly Instant Now = Instant.FromUtc(2031, 3, 2, 8, 0, 0);

    public TempStores(string? folder = null)
    {
        Folder = folder ?? NewFolder();
        Stores = Stores.Open(Folder);
    }

    public string Folder { get; }

    public Stores Stores { get; private set; }

    public static string NewFolder() => Path.Combine(Path.GetTempPath(), "pk-store-" + Guid.NewGuid().ToString("N"));

    public static void Copy(string from, string to)
    {
        foreach (var file in Directory.EnumerateFiles(from, "*", SearchOption.AllDirectories))
        {
            var target = Path.Combine(to, Path.GetRelativePath(from, file));
            Directory.CreateDirectory(Path.GetDirectoryName(target)!);
            File.Copy(file, target);
        }
    }

    public Task Write(Action<System.Data.IDbTransaction> work) => Stores.Database.WriteAsync(work);

    /// <summary>The database file as anyone who can write to it opens it.</summary>
    public SqliteConnection Raw()
    {
        var connection = new SqliteConnection($"Data Source={Stores.Database.Folder.DatabaseFile};Pooling=False");
        connection.Open();
        return connection;
    }

    /// <summary>As someone would who can write to the file: the triggers are taken away and put back, so that nothing but the rows themselves can tell.</summary>
    public void Tamper(string sql)
    {
        using var raw = Raw();
        var triggers = raw.Query<(string Name, string Sql)>("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").AsList();
        foreach (var (name, _) in triggers) raw.Execute($"DROP TRIGGER {name}");
        raw.Execute(sql);
        foreach (var (_, text) in triggers) raw.Execute(text);
    }

    public void Dispose()
    {
        Stores.Dispose();
        Directory.Delete(Folder, recursive: true);
    }
}
