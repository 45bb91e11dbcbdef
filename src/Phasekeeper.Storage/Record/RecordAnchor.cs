using System.Data;
using System.Globalization;
using System.Text;

namespace Phasekeeper.Storage;

/// <summary>
/// The second place that knows the record: <c>record.anchor</c> beside the database, a text file that only grows. Lines:
/// <code>
/// begin N HASH     where the file begins: entries behind N are covered (a new database: begin 0 and zeros)
/// w N HASH         entry N is about to be committed
/// c N              everything up to N is committed
/// </code>
/// Both kinds are on disk before the next step: w lines, then SQLite's commit, then c. So a crash between the two places leaves one of two states, and the next start tells them apart by
/// the database's newest entry: it is the last committed one (the w lines behind it were never committed and are superseded), or that of the last w line (the commit happened: a c line
/// is added). Any other state is no crash but a change by other hands, and <see cref="RecordVerifier"/> tells it. Nothing is taken back here, not even when the record proves to be cut off:
/// what the file knew stays readable, and entries that take the place of lost ones show as a contradiction.
/// <para>Whoever may write both database and this file can write both anew: note the newest hash elsewhere (page, API and command show it) where that matters.</para>
/// </summary>
public sealed class RecordAnchor
{
    /// <summary>Name of the file in the data folder.</summary>
    public const string FileName = "record.anchor";

    private readonly string path;
    private long known;

    private RecordAnchor(string path, long known) => (this.path, this.known) = (path, known);

    /// <summary>Path of the anchor of a database.</summary>
    public static string PathFor(string databaseFile) => Path.Combine(Path.GetDirectoryName(Path.GetFullPath(databaseFile))!, FileName);

    /// <summary>Opens the anchor of a database: begins one where there is none, and finishes what a crash left open.</summary>
    internal static RecordAnchor Open(IDbConnection connection, string databaseFile)
    {
        var path = PathFor(databaseFile);
        var (head, hash) = RecordStore.Head(connection, null);
        if (!File.Exists(path)) DurableFile.Append(path, Begin(head, hash));
        var reading = RecordAnchorReading.Read(path);
        if (reading.TornBytes > 0) DurableFile.CutOff(path, reading.TornBytes);
        if (reading.Pending is { Count: > 0 } pending && pending[^1].Number == head && pending[^1].Hash.AsSpan().SequenceEqual(hash)) DurableFile.Append(path, Committed(head));
        return new RecordAnchor(path, head);
    }

    /// <summary>Writes an anchor for a copy of a database that was made in one piece.</summary>
    internal static void WriteFor(IDbConnection copy, string databaseFile)
    {
        var text = new StringBuilder(Begin(0, RecordHash.Beginning));
        using var transaction = copy.BeginTransaction();
        var entries = RecordStore.Behind(transaction, 0);
        foreach (var (number, hash) in entries) text.Append(Written(number, hash));
        if (entries.Count > 0) text.Append(Committed(entries[^1].Number));
        DurableFile.Write(PathFor(databaseFile), Encoding.ASCII.GetBytes(text.ToString()));
    }

    /// <summary>Puts the transaction's new entries on disk here before it is committed; their last number, or null when there is none.</summary>
    /// <exception cref="StorageException">The file cannot be written; the transaction must not be committed.</exception>
    internal long? Prepare(IDbTransaction transaction)
    {
        var entries = RecordStore.Behind(transaction, known);
        if (entries.Count == 0) return null;
        try
        {
            DurableFile.Append(path, string.Concat(entries.Select(e => Written(e.Number, e.Hash))));
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw StorageErrors.AnchorNotPrepared(path, error);
        }
        return entries[^1].Number;
    }

    /// <summary>Says that the transaction is committed.</summary>
    /// <exception cref="StorageException">The file cannot be written; what was decided is done and on record all the same.</exception>
    internal void Confirm(long number)
    {
        known = number;
        try
        {
            DurableFile.Append(path, Committed(number));
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw StorageErrors.AnchorNotConfirmed(path, number, error);
        }
    }

    private static string Begin(long number, byte[] hash) => string.Create(CultureInfo.InvariantCulture, $"begin {number} {Convert.ToHexStringLower(hash)}\n");

    private static string Written(long number, byte[] hash) => string.Create(CultureInfo.InvariantCulture, $"w {number} {Convert.ToHexStringLower(hash)}\n");

    private static string Committed(long number) => string.Create(CultureInfo.InvariantCulture, $"c {number}\n");
}
