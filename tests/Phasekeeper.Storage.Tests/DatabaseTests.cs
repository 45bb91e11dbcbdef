using Dapper;
using Microsoft.Data.Sqlite;

namespace Phasekeeper.Storage.Tests;

public sealed class DatabaseTests
{
    [Fact]
    public void A_new_folder_gets_all_its_parts_and_the_newest_schema()
    {
        using var temp = new TempStores();
        Assert.True(File.Exists(Path.Combine(temp.Folder, "phasekeeper.db")));
        foreach (var part in new[] { "archive", "inbox", "keys" }) Assert.True(Directory.Exists(Path.Combine(temp.Folder, part)));
        Assert.Equal(Migrations.Newest, temp.Stores.Database.Read(c => c.ExecuteScalar<long>("PRAGMA user_version")));
        Assert.Equal("wal", temp.Stores.Database.Read(c => c.ExecuteScalar<string>("PRAGMA journal_mode")));
    }

    [Fact]
    public async Task What_was_written_is_there_after_opening_again()
    {
        var folder = TempStores.NewFolder();
        using (var stores = Stores.Open(folder)) await stores.Settings.SetAsync("a", "1");
        using var temp = new TempStores(folder);
        Assert.Equal("1", temp.Stores.Settings.Get("a"));
    }

    [Fact]
    public void A_newer_schema_is_refused_with_what_to_do()
    {
        using var temp = new TempStores();
        using (var connection = Raw(temp)) connection.Execute("PRAGMA user_version = 9999");
        var error = Assert.Throws<StorageException>(() => Database.Open(temp.Folder));
        Assert.Contains($"has schema version 9999; this program knows versions up to {Migrations.Newest}. Start the newer program", error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_script_that_fails_leaves_the_database_as_it_was()
    {
        using var temp = new TempStores();
        using var connection = Raw(temp);
        var scripts = Migrations.Scripts.Append((Migrations.Newest + 1, "0099_bad.sql", "CREATE TABLE half (a); CREATE TABLE flag (b);")).ToList();
        var error = Assert.Throws<StorageException>(() => Migrations.Apply(connection, "file.db", scripts));
        Assert.Contains("0099_bad.sql failed", error.Message, StringComparison.Ordinal);
        Assert.Equal(Migrations.Newest, connection.ExecuteScalar<long>("PRAGMA user_version"));
        Assert.Equal(0, connection.ExecuteScalar<long>("SELECT count(*) FROM sqlite_master WHERE name = 'half'"));
    }

    [Fact]
    public void Scripts_are_numbered_from_one_without_gaps() =>
        Assert.Equal(Enumerable.Range(1, Migrations.Scripts.Count).Select(i => (long)i), Migrations.Scripts.Select(s => s.Version));

    [Fact]
    public async Task A_write_that_throws_leaves_nothing_and_the_next_one_works()
    {
        using var temp = new TempStores();
        await Assert.ThrowsAsync<InvalidOperationException>(() => temp.Write(t =>
        {
            SettingStore.Set(t, "a", "1");
            throw new InvalidOperationException();
        }));
        Assert.Null(temp.Stores.Settings.Get("a"));
        await temp.Stores.Settings.SetAsync("a", "2");
        Assert.Equal("2", temp.Stores.Settings.Get("a"));
    }

    [Fact]
    public async Task Many_writers_and_readers_at_once_lose_nothing()
    {
        using var temp = new TempStores();
        var writers = Enumerable.Range(0, 8).Select(w => Task.Run(async () =>
        {
            for (var i = 0; i < 20; i++) await temp.Write(t => EventStore.Add(t, TempStores.Now, "k", $"{w}", $"{i}"));
        }));
        var readers = Enumerable.Range(0, 4).Select(_ => Task.Run(() =>
        {
            for (var i = 0; i < 50; i++) Assert.True(temp.Stores.Events.After(0).Count <= 160);
        }));
        await Task.WhenAll(writers.Concat(readers));
        Assert.Equal(160, temp.Stores.Events.After(0).Count);
    }

    [Fact]
    public async Task A_backup_made_while_open_holds_everything()
    {
        using var temp = new TempStores();
        await temp.Stores.Settings.SetAsync("a", "1");
        var copy = TempStores.NewFolder();
        Directory.CreateDirectory(copy);
        temp.Stores.Database.BackupTo(Path.Combine(copy, "phasekeeper.db"));
        using var restored = new TempStores(copy);
        Assert.Equal("1", restored.Stores.Settings.Get("a"));
    }

    private static SqliteConnection Raw(TempStores temp)
    {
        var connection = new SqliteConnection($"Data Source={temp.Stores.Database.Folder.DatabaseFile};Pooling=False");
        connection.Open();
        return connection;
    }
}
