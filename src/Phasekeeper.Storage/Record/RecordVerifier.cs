using System.Data;
using System.Diagnostics;
using System.Globalization;
using Dapper;
using Microsoft.Data.Sqlite;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>
/// Reads the whole record and compares three accounts of it: the fields of every entry with its hash, every entry with the one before, and all hashes with those that
/// <see cref="RecordAnchor"/> holds beside the database. Then it lays coefficient sets and decisions beside the entries (<see cref="CoefficientRecordCheck"/>). Tells every place, not only the first. Writes nothing,
/// and may run while the program works.
/// </summary>
public static class RecordVerifier
{
    /// <summary>Most findings of a report (chosen: nobody reads more; the first ones name the place).</summary>
    public const int MostFindings = 100;

    private static readonly string[] Triggers = ["recordNoUpdate", "recordNoDelete", "recordAtTheEnd"];

    /// <summary>Verifies the record of an open database.</summary>
    public static RecordReport Verify(Database database)
    {
        ArgumentNullException.ThrowIfNull(database);
        using var connection = database.OpenRead();
        return Verify(connection, database.Folder.DatabaseFile);
    }

    /// <summary>Verifies the record of a database file that this program need not have opened; neither it nor its schema is changed.</summary>
    /// <exception cref="StorageException">There is no such file, or it has no record.</exception>
    public static RecordReport Verify(string databaseFile)
    {
        if (!File.Exists(databaseFile)) throw StorageErrors.NoDatabase(databaseFile);
        TypeHandlers.Register();
        using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = databaseFile, Mode = SqliteOpenMode.ReadOnly, Pooling = false }.ConnectionString);
        connection.Open();
        if (connection.ExecuteScalar<long>("SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = 'record'") == 0) throw StorageErrors.NoRecord(databaseFile);
        return Verify(connection, databaseFile);
    }

    private static RecordReport Verify(SqliteConnection connection, string databaseFile)
    {
        var started = Stopwatch.GetTimestamp();
        var path = RecordAnchor.PathFor(databaseFile);
        // The program may be adding entries: what the anchor had before must be in what is read, and what is read must be in the anchor after.
        var before = RecordAnchorReading.Read(path);
        var findings = new List<RecordFinding>();
        var hashes = new SortedDictionary<long, byte[]>();
        var (head, last) = (RecordHash.Beginning, 0L);
        var coefficients = new CoefficientRecordCheck();
        using (var transaction = connection.BeginTransaction(deferred: true))
        {
            CheckTriggers(connection, transaction, findings);
            var odd = StoredTypes.Findings(connection, transaction, StoredTypes.Record);
            findings.AddRange(odd);
            var oddBeside = StoredTypes.Findings(connection, transaction, StoredTypes.Coefficients);
            findings.AddRange(oddBeside);
            try
            {
                if (odd.Count == 0)
                    foreach (var entry in RecordStore.All(connection, transaction))
                    {
                        CheckEntry(entry, last, head, findings);
                        (head, last) = (entry.Hash, entry.Number);
                        hashes[last] = head;
                        coefficients.Take(entry);
                    }
                else
                    (last, head) = (Last(connection, transaction), []);
                if (odd.Count == 0 && oddBeside.Count == 0) findings.AddRange(coefficients.Findings(connection, transaction));
            }
            // What people have written into the tables need not be what the program can read. It is told as a finding like others.
            catch (Exception error) when (error is DataException or InvalidCastException or FormatException or OverflowException or ArgumentException or InvalidOperationException)
            {
                findings.Add(new("unreadable", last + 1, last + 1, $"Behind entry {N(last)}, or in the tables of coefficients, something cannot be read: {error.Message}", "Expected values as the program writes them: they were changed by other hands."));
                last = Last(connection, transaction);
            }
        }
        CheckAnchor(path, hashes, last, before, RecordAnchorReading.Read(path), findings);
        return new RecordReport(hashes.Count, head, Instant.FromDateTimeUtc(TimeProvider.System.GetUtcNow().UtcDateTime), Stopwatch.GetElapsedTime(started).TotalSeconds, [.. findings.Take(MostFindings)]);
    }

    private static long Last(IDbConnection connection, IDbTransaction transaction) => connection.ExecuteScalar<long>("SELECT coalesce(max(number), 0) FROM record WHERE typeof(number) = 'integer'", transaction: transaction);

    private static void CheckTriggers(IDbConnection connection, IDbTransaction transaction, List<RecordFinding> findings)
    {
        var found = connection.Query<string>("SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'record' AND sql LIKE '%RAISE(ABORT%'", transaction: transaction).ToHashSet();
        if (Triggers.Where(t => !found.Contains(t)).ToArray() is { Length: > 0 } missing)
            findings.Add(new("triggers", 0, 0, $"The database lacks {string.Join(", ", missing)} on the table of the record.", "Expected the triggers that forbid changing and removing entries: someone took them away."));
        // Another version's triggers are not known word by word.
        if (connection.ExecuteScalar<long>("PRAGMA user_version", transaction: transaction) != Migrations.Newest) return;
        var texts = connection.Query<(string Name, string Sql)>("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'", transaction: transaction).ToDictionary(t => t.Name, t => t.Sql);
        if (Migrations.Triggers.Keys.Where(name => !texts.ContainsKey(name) && !Triggers.Contains(name)).ToArray() is { Length: > 0 } gone)
            findings.Add(new("triggers", 0, 0, $"The database lacks {string.Join(", ", gone)}.", "Expected the triggers that keep coefficient sets, evidence and decisions as they are: someone took them away."));
        if (Migrations.Triggers.Where(t => texts.TryGetValue(t.Key, out var text) && text != t.Value).Select(t => t.Key).ToArray() is { Length: > 0 } other)
            findings.Add(new("triggers", 0, 0, $"The database has other triggers under the names {string.Join(", ", other)}.", "Expected them word by word as the program made them: someone replaced them."));
    }

    private static void CheckEntry(RecordEntry entry, long last, byte[] head, List<RecordFinding> findings)
    {
        if (entry.Number != last + 1)
            findings.Add(new("missing", last + 1, entry.Number - 1, $"Entry {N(entry.Number)} stands behind entry {N(last)}.", $"Expected {Stretch(last + 1, entry.Number - 1)} between them: removed."));
        else if (!entry.Previous.AsSpan().SequenceEqual(head))
            findings.Add(new("chain", entry.Number, entry.Number, $"Entry {N(entry.Number)} ({Who(entry)}) follows the hash {Short(entry.Previous)}.",
                $"Expected {Short(head)}, that of {(last == 0 ? "the beginning" : $"entry {N(last)}")}: one of the two was written anew, or was put in or moved."));
        var own = RecordHash.Of(entry);
        if (!own.AsSpan().SequenceEqual(entry.Hash))
            findings.Add(new("changed", entry.Number, entry.Number, $"Entry {N(entry.Number)} ({Who(entry)}) has the hash {Short(entry.Hash)}.", $"Expected {Short(own)} for what it says now: it was changed after it was written."));
    }

    private static void CheckAnchor(string path, SortedDictionary<long, byte[]> hashes, long last, RecordAnchorReading before, RecordAnchorReading after, List<RecordFinding> findings)
    {
        if (!after.Exists)
        {
            findings.Add(new("anchor", 0, 0, $"There is no {path}.", "Expected the file that holds the hashes of all entries: without it, a record that was cut off or written anew cannot be told."));
            return;
        }
        foreach (var (line, text) in after.Unreadable)
            findings.Add(new("anchor", 0, 0, $"{path}, line {N(line)} says '{(text.Length > 40 ? text[..40] + "…" : text)}'.", "Expected a line that the program writes: begin, w or c with a number."));
        if (after.Begin > 0)
            findings.Add(new("anchor", 1, after.Begin, $"{path} begins at entry {N(after.Begin)}.", $"Expected 0: the file was removed, or the database brought back without it, when the record had {N(after.Begin)} entries. Those before are held by the chain alone."));
        foreach (var (first, end) in after.Replaced)
            findings.Add(new("cut", first, end, $"{path} knew other entries {N(first)} to {N(end)} before those that are there now.", "Expected one entry for each number: the record was cut off, or an older copy brought back, and work went on."));
        if (before.Newest > last)
            findings.Add(new("cut", last + 1, before.Newest, $"The record ends with entry {N(last)}.", $"Expected {Stretch(last + 1, before.Newest)} too, which {path} knows as committed: cut off at the end."));
        foreach (var (first, end) in Stretches(hashes.Where(h => h.Key > after.Begin && after.HashOf(h.Key) is { } known && !known.AsSpan().SequenceEqual(h.Value)).Select(h => h.Key)))
            findings.Add(new("rewritten", first, end, $"{Capital(Stretch(first, end))} {(first == end ? "has another hash" : "have other hashes")} than {path} holds, from {Short(hashes[first])} on.", $"Expected {Short(after.HashOf(first)!)} for entry {N(first)}: written anew from there on."));
        foreach (var (first, end) in Stretches(hashes.Keys.Where(n => n > after.Begin && after.HashOf(n) is null)))
            findings.Add(new("added", first, end, $"{Capital(Stretch(first, end))} {(first == end ? "is" : "are")} not in {path}.", "Expected only entries that the program announced there: put in by other hands."));
    }

    private static IEnumerable<(long First, long Last)> Stretches(IEnumerable<long> numbers)
    {
        (long First, long Last)? open = null;
        foreach (var number in numbers)
        {
            if (open is { } stretch && stretch.Last == number - 1)
            {
                open = (stretch.First, number);
                continue;
            }
            if (open is { } done) yield return done;
            open = (number, number);
        }
        if (open is { } rest) yield return rest;
    }

    private static string Who(RecordEntry entry) => $"{entry.Time}, {entry.Person}, {entry.What}";

    private static string Stretch(long first, long last) => first == last ? $"entry {N(first)}" : $"entries {N(first)} to {N(last)}";

    private static string Capital(string text) => "E" + text[1..];

    private static string N(long number) => number.ToString(CultureInfo.InvariantCulture);

    private static string Short(byte[] hash) => Convert.ToHexStringLower(hash)[..Math.Min(12, hash.Length * 2)] + "…";
}
