using System.Globalization;
using System.Reflection;
using Dapper;
using Microsoft.Data.Sqlite;

namespace Phasekeeper.Storage;

/// <summary>
/// Brings a database up to date with the numbered scripts Schema/NNNN_name.sql (embedded). The version is SQLite's user_version.
/// A script runs in one transaction together with the new version; scripts are never edited after a release.
/// </summary>
internal static class Migrations
{
    /// <summary>The scripts, in order: version, name, text.</summary>
    public static IReadOnlyList<(long Version, string Name, string Sql)> Scripts { get; } = Load();

    /// <summary>Version of this program's schema.</summary>
    public static long Newest => Scripts[^1].Version;

    private static readonly Lazy<IReadOnlyDictionary<string, string>> triggers = new(MakeTriggers);

    /// <summary>The triggers of the newest schema, name and text, as SQLite keeps them.</summary>
    public static IReadOnlyDictionary<string, string> Triggers => triggers.Value;

    public static void Apply(SqliteConnection connection, string file) => Apply(connection, file, Scripts);

    public static void Apply(SqliteConnection connection, string file, IReadOnlyList<(long Version, string Name, string Sql)> scripts)
    {
        var found = connection.ExecuteScalar<long>("PRAGMA user_version");
        if (found > scripts[^1].Version) throw StorageErrors.NewerSchema(file, found, scripts[^1].Version);
        foreach (var (version, name, sql) in scripts.Where(s => s.Version > found))
        {
            using var transaction = connection.BeginTransaction(deferred: false);
            try
            {
                connection.Execute(sql, transaction: transaction);
                // What SQL cannot say: telemetry is packed otherwise.
                if (version == TelemetryConversion.Version) TelemetryConversion.Run(connection, transaction);
                // A pragma takes no parameter; the version is a number of ours.
                connection.Execute(string.Create(CultureInfo.InvariantCulture, $"PRAGMA user_version = {version}"), transaction: transaction);
                transaction.Commit();
            }
            catch (SqliteException error)
            {
                throw StorageErrors.MigrationFailed(file, name, error);
            }
        }
    }

    private static Dictionary<string, string> MakeTriggers()
    {
        using var empty = new SqliteConnection("Data Source=:memory:;Pooling=False");
        empty.Open();
        Apply(empty, ":memory:");
        return empty.Query<(string Name, string Sql)>("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").ToDictionary(t => t.Name, t => t.Sql, StringComparer.Ordinal);
    }

    private static List<(long, string, string)> Load()
    {
        var assembly = Assembly.GetExecutingAssembly();
        const string marker = ".Schema.";
        return assembly.GetManifestResourceNames()
            .Where(n => n.EndsWith(".sql", StringComparison.Ordinal))
            .Select(n =>
            {
                var name = n[(n.IndexOf(marker, StringComparison.Ordinal) + marker.Length)..];
                using var reader = new StreamReader(assembly.GetManifestResourceStream(n)!);
                return (long.Parse(name.AsSpan(0, 4), CultureInfo.InvariantCulture), name, reader.ReadToEnd());
            })
            .OrderBy(s => s.Item1)
            .ToList();
    }
}
