using System.Data;
using Dapper;
using Microsoft.Data.Sqlite;

namespace Phasekeeper.Storage;

/// <summary>
/// The SQLite database of a data folder: WAL, one writer, many pooled readers. A commit is on disk when it returns
/// (synchronous=FULL). All writing goes through <see cref="WriteAsync{T}"/>, one transaction at a time in order of asking; readers see
/// the last commit and never wait for the writer. Opening brings the schema up to date and refuses a newer one.
/// </summary>
public sealed class Database : IDisposable
{
    private readonly SqliteConnection writer;
    private readonly SemaphoreSlim gate = new(1, 1);
    private readonly string readString;
    // Set once the schema is there.
    private RecordAnchor anchor = null!;

    static Database() => TypeHandlers.Register();

    private Database(DataFolder folder)
    {
        Folder = folder;
        var builder = new SqliteConnectionStringBuilder { DataSource = folder.DatabaseFile, ForeignKeys = true, DefaultTimeout = 30, Pooling = false };
        writer = new SqliteConnection(builder.ConnectionString);
        builder.Pooling = true;
        builder.Mode = SqliteOpenMode.ReadOnly;
        readString = builder.ConnectionString;
    }

    /// <summary>Where it lies.</summary>
    public DataFolder Folder { get; }

    /// <summary>Raised after a commit that made the record longer, on the writer's thread: do little, and do not write.</summary>
    public event Action? Recorded;

    /// <summary>Opens or creates the database and brings its schema up to date.</summary>
    /// <exception cref="StorageException">The database was written by a newer program.</exception>
    public static Database Open(DataFolder folder)
    {
        ArgumentNullException.ThrowIfNull(folder);
        var database = new Database(folder);
        try
        {
            database.writer.Open();
            database.writer.Execute(
                """
                -- Chosen: blocks, profiles and fringes take 2 to 3 kB, of which small pages hold one or two and waste the rest (a quarter at 8 kB). Only a new file takes it.
                PRAGMA page_size = 16384;
                PRAGMA journal_mode = WAL;
                PRAGMA synchronous = FULL;
                PRAGMA busy_timeout = 30000;
                PRAGMA wal_autocheckpoint = 500;
                PRAGMA journal_size_limit = 67108864;
                """);
            Migrations.Apply(database.writer, folder.DatabaseFile);
            database.anchor = RecordAnchor.Open(database.writer, folder.DatabaseFile);
            return database;
        }
        catch
        {
            database.Dispose();
            throw;
        }
    }

    /// <summary>Opens or creates the database of a folder path.</summary>
    public static Database Open(string dataFolder) => Open(new DataFolder(dataFolder));

    /// <summary>
    /// Runs <paramref name="work"/> in the writer's transaction and commits; on an exception nothing of it is kept. Do not call
    /// this from within <paramref name="work"/>: there is one writer.
    /// </summary>
    public async Task<T> WriteAsync<T>(Func<IDbTransaction, T> work, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(work);
        await gate.WaitAsync(cancel).ConfigureAwait(false);
        try
        {
            using var transaction = writer.BeginTransaction(deferred: false);
            var result = work(transaction);
            // Entries of the record are known beside the database before they can be in it.
            var recorded = anchor.Prepare(transaction);
            transaction.Commit();
            if (recorded is { } entry)
            {
                anchor.Confirm(entry);
                Recorded?.Invoke();
            }
            return result;
        }
        finally
        {
            gate.Release();
        }
    }

    /// <summary>As <see cref="WriteAsync{T}"/>, without a result.</summary>
    public Task WriteAsync(Action<IDbTransaction> work, CancellationToken cancel = default) =>
        WriteAsync(transaction =>
        {
            work(transaction);
            return true;
        }, cancel);

    /// <summary>Runs a query on a pooled read connection.</summary>
    public T Read<T>(Func<IDbConnection, T> query)
    {
        ArgumentNullException.ThrowIfNull(query);
        using var connection = OpenRead();
        return query(connection);
    }

    /// <summary>A read connection from the pool; dispose it to give it back. Use one for several queries that must see the same state, inside a transaction.</summary>
    public SqliteConnection OpenRead()
    {
        var connection = new SqliteConnection(readString);
        connection.Open();
        return connection;
    }

    /// <summary>
    /// Copies the whole database to a new file while others read and write, and writes the anchor of its record (<see cref="RecordAnchor"/>) beside it (the archive folder is copied by
    /// ordinary means).
    /// </summary>
    public void BackupTo(string file)
    {
        using var source = OpenRead();
        using var target = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = file, Pooling = false }.ConnectionString);
        target.Open();
        source.BackupDatabase(target);
        RecordAnchor.WriteFor(target, file);
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        writer.Dispose();
        using (var pooled = new SqliteConnection(readString)) SqliteConnection.ClearPool(pooled);
        gate.Dispose();
    }
}
