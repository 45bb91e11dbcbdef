using Dapper;
using Microsoft.Data.Sqlite;

namespace Phasekeeper.Storage.Tests.Record;

/// <summary>Every way to tamper with a record of ten entries, by someone who can write to the database, is told with its place.</summary>
public sealed class RecordVerifierTests : IDisposable
{
    private const int Entries = 10;
    private static readonly Actor Ada = new("ada", Roles.Operator, "10.0.0.7");
    private readonly TempStores temp = new();

    public RecordVerifierTests() => AppendAsync(Entries).GetAwaiter().GetResult();

    private string Anchor => Path.Combine(temp.Folder, RecordAnchor.FileName);

    public void Dispose() => temp.Dispose();

    [Fact]
    public void A_record_that_nobody_touched_is_whole_here_and_from_outside()
    {
        foreach (var report in new[] { RecordVerifier.Verify(temp.Stores.Database), RecordVerifier.Verify(temp.Stores.Database.Folder.DatabaseFile) })
        {
            Assert.True(report.IsWhole, string.Join('\n', report.Findings));
            Assert.Equal(Entries, report.Entries);
            Assert.Equal(temp.Stores.Record.Head().Hash, report.Hash);
        }
    }

    [Theory]
    [InlineData("time = time + 1")]
    [InlineData("person = 'ben'")]
    [InlineData("role = 'administrator'")]
    [InlineData("address = NULL")]
    [InlineData("what = 'other'")]
    [InlineData("subject = subject || ' '")]
    [InlineData("before = NULL")]
    [InlineData("after = '{}'")]
    [InlineData("reason = ''")]
    public void A_changed_field_is_told_with_its_entry(string change)
    {
        temp.Tamper($"UPDATE record SET {change} WHERE number = 4");
        var finding = Assert.Single(Findings());
        Assert.Equal(("changed", 4, 4), (finding.Kind, finding.First, finding.Last));
        Assert.StartsWith("Entry 4 (", finding.Found, StringComparison.Ordinal);
        Assert.Contains("it was changed after it was written", finding.Expected, StringComparison.Ordinal);
    }

    [Fact]
    public void A_changed_hash_is_told()
    {
        temp.Tamper("UPDATE record SET hash = zeroblob(32) WHERE number = 4");
        Assert.Contains(Findings(), f => f is { Kind: "changed", First: 4 });
        Assert.Contains(Findings(), f => f is { Kind: "chain", First: 5 });
        Assert.Contains(Findings(), f => f is { Kind: "rewritten", First: 4, Last: 4 });
    }

    [Fact]
    public void A_removed_entry_is_told_with_its_place()
    {
        temp.Tamper("DELETE FROM record WHERE number IN (6, 7)");
        var finding = Assert.Single(Findings());
        Assert.Equal(("missing", 6, 7), (finding.Kind, finding.First, finding.Last));
        Assert.Equal("Entry 8 stands behind entry 5. Expected entries 6 to 7 between them: removed.", finding.ToString());
    }

    [Fact]
    public void A_removed_entry_whose_place_was_closed_is_told()
    {
        temp.Tamper("DELETE FROM record WHERE number = 6; UPDATE record SET number = number - 1 WHERE number > 6");
        Assert.Contains(Findings(), f => f is { Kind: "chain", First: 6 });
        Assert.Contains(Findings(), f => f is { Kind: "rewritten", First: 6, Last: 9 });
        Assert.Contains(Findings(), f => f is { Kind: "cut", First: 10, Last: 10 });
    }

    [Fact]
    public void A_removed_end_is_told_though_the_chain_holds()
    {
        temp.Tamper("DELETE FROM record WHERE number > 7");
        var finding = Assert.Single(Findings());
        Assert.Equal(("cut", 8, 10), (finding.Kind, finding.First, finding.Last));
        Assert.StartsWith("The record ends with entry 7. Expected entries 8 to 10 too, which", finding.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void An_emptied_record_is_told()
    {
        temp.Tamper("DELETE FROM record");
        Assert.Equal(("cut", 1, 10), Assert.Single(Findings()) is var f ? (f.Kind, f.First, f.Last) : default);
    }

    [Fact]
    public async Task A_removed_end_stays_told_when_work_goes_on()
    {
        temp.Tamper("DELETE FROM record WHERE number > 7");
        temp.Stores.Database.Dispose();
        using (var again = Stores.Open(temp.Folder))
        {
            Assert.Equal(("cut", 8, 10), Assert.Single(RecordVerifier.Verify(again.Database).Findings) is var f ? (f.Kind, f.First, f.Last) : default);
            for (var i = 0; i < 5; i++) await again.Database.WriteAsync(t => RecordStore.Append(t, Ada, "k", "later", null, null, null));
            Assert.Equal(("cut", 8, 10), Assert.Single(RecordVerifier.Verify(again.Database).Findings) is var g ? (g.Kind, g.First, g.Last) : default);
            // The new end is covered like any other.
            temp.Tamper("DELETE FROM record WHERE number > 10");
            Assert.Contains(RecordVerifier.Verify(again.Database).Findings, h => h is { Kind: "cut", First: 11, Last: 12 });
        }
    }

    [Fact]
    public void An_entry_put_in_between_is_told()
    {
        temp.Tamper("""
            UPDATE record SET number = -number - 1 WHERE number > 5; UPDATE record SET number = -number WHERE number < 0;
            INSERT INTO record SELECT 6, time, 'ben', role, address, what, subject, before, after, reason, hash, zeroblob(32) FROM record WHERE number = 5
            """);
        Reseal(6, 6);
        // The one put in hangs on the chain; the next one gives it away, and so does the anchor.
        Assert.Contains(Findings(), f => f is { Kind: "chain", First: 7 });
        Assert.Contains(Findings(), f => f is { Kind: "rewritten", First: 6, Last: 10 });
        Assert.Contains(Findings(), f => f is { Kind: "added", First: 11, Last: 11 });
    }

    [Fact]
    public void An_entry_put_in_at_the_end_is_told_though_the_chain_holds()
    {
        temp.Tamper("INSERT INTO record SELECT 11, time, 'ben', role, address, what, subject, before, after, reason, hash, zeroblob(32) FROM record WHERE number = 10");
        Reseal(11, 11);
        var finding = Assert.Single(Findings());
        Assert.Equal(("added", 11, 11), (finding.Kind, finding.First, finding.Last));
        Assert.StartsWith("Entry 11 is not in ", finding.Found, StringComparison.Ordinal);
    }

    [Fact]
    public void Entries_that_changed_places_are_told()
    {
        temp.Tamper("UPDATE record SET number = -1 WHERE number = 3; UPDATE record SET number = 3 WHERE number = 4; UPDATE record SET number = 4 WHERE number = -1");
        Assert.Contains(Findings(), f => f is { Kind: "chain", First: 3 });
        Assert.Contains(Findings(), f => f is { Kind: "changed", First: 3 });
        Assert.Contains(Findings(), f => f is { Kind: "changed", First: 4 });
        Assert.Contains(Findings(), f => f is { Kind: "rewritten", First: 3, Last: 4 });
    }

    [Fact]
    public void A_chain_written_anew_is_told_from_where_it_differs()
    {
        temp.Tamper("UPDATE record SET person = 'ben' WHERE number = 6");
        Reseal(6, Entries);
        var finding = Assert.Single(Findings());
        Assert.Equal(("rewritten", 6, 10), (finding.Kind, finding.First, finding.Last));
        Assert.StartsWith("Entries 6 to 10 have other hashes than ", finding.Found, StringComparison.Ordinal);
    }

    [Fact]
    public void A_missing_anchor_is_told_and_stays_told_after_the_next_start()
    {
        File.Delete(Anchor);
        Assert.Equal("anchor", Assert.Single(Findings()).Kind);
        temp.Stores.Database.Dispose();
        using var again = Stores.Open(temp.Folder);
        Assert.Equal(("anchor", 1, 10), Assert.Single(RecordVerifier.Verify(again.Database).Findings) is var f ? (f.Kind, f.First, f.Last) : default);
    }

    [Fact]
    public void A_line_of_the_anchor_that_nobody_of_ours_wrote_is_told()
    {
        File.AppendAllText(Anchor, "c 99\n");
        Assert.Contains("line 22 says 'c 99'", Assert.Single(Findings()).Found, StringComparison.Ordinal);
    }

    [Fact]
    public void Missing_triggers_are_told()
    {
        using (var raw = temp.Raw()) raw.Execute("DROP TRIGGER recordNoDelete");
        Assert.Equal("The database lacks recordNoDelete on the table of the record.", Assert.Single(Findings()).Found);
    }

    [Theory]
    [InlineData(false, "w 11 ")]
    [InlineData(true, "w 11 ")]
    [InlineData(true, "c 11")]
    public async Task A_crash_between_the_two_places_is_no_finding_and_work_goes_on(bool isCommitted, string lastLine)
    {
        await AppendAsync(1);
        var lines = File.ReadAllLines(Anchor);
        var end = Array.FindLastIndex(lines, l => l.StartsWith(lastLine, StringComparison.Ordinal));
        temp.Stores.Database.Dispose();
        File.WriteAllText(Anchor, string.Concat(lines[..(end + 1)].Select(l => l + '\n')));
        if (!isCommitted) temp.Tamper("DELETE FROM record WHERE number = 11");
        // A line that was being written when the power went.
        File.AppendAllText(Anchor, "w 12 00ff");
        Assert.Empty(RecordVerifier.Verify(temp.Stores.Database.Folder.DatabaseFile).Findings);
        using var again = Stores.Open(temp.Folder);
        Assert.Empty(RecordVerifier.Verify(again.Database).Findings);
        await again.Database.WriteAsync(t => RecordStore.Append(t, Ada, "k", "later", null, null, null));
        Assert.Empty(RecordVerifier.Verify(again.Database).Findings);
        Assert.Equal(isCommitted ? 12 : 11, again.Record.Head().Entries);
    }

    [Fact]
    public async Task What_cannot_be_put_on_record_is_not_done()
    {
        File.Delete(Anchor);
        Directory.CreateDirectory(Anchor);
        var error = await Assert.ThrowsAsync<StorageException>(() => temp.Write(t =>
        {
            SettingStore.Set(t, "decided", "yes");
            RecordStore.Append(t, Ada, "k", "s", null, null, null);
        }));
        Assert.Contains("Nothing was changed", error.Message, StringComparison.Ordinal);
        Assert.Null(temp.Stores.Settings.Get("decided"));
        Assert.Equal(Entries, temp.Stores.Record.Head().Entries);
        Directory.Delete(Anchor);
    }

    [Fact]
    public void A_copy_made_while_open_is_whole()
    {
        var copy = TempStores.NewFolder();
        Directory.CreateDirectory(copy);
        temp.Stores.Database.BackupTo(Path.Combine(copy, "phasekeeper.db"));
        using var restored = new TempStores(copy);
        var report = RecordVerifier.Verify(restored.Stores.Database);
        Assert.True(report.IsWhole, string.Join('\n', report.Findings));
        Assert.Equal(Entries, report.Entries);
    }

    [Fact]
    public void A_folder_without_a_database_or_a_record_says_what_to_do()
    {
        Assert.Contains("Name the folder with --Phasekeeper:Data DIR", Assert.Throws<StorageException>(() => RecordVerifier.Verify(Path.Combine(temp.Folder, "none.db"))).Message, StringComparison.Ordinal);
        var old = Path.Combine(temp.Folder, "old.db");
        using (var connection = new SqliteConnection($"Data Source={old};Pooling=False"))
        {
            connection.Open();
            connection.Execute("CREATE TABLE setting (key TEXT)");
        }
        Assert.Contains("Start the program once", Assert.Throws<StorageException>(() => RecordVerifier.Verify(old)).Message, StringComparison.Ordinal);
    }

    private async Task AppendAsync(int count)
    {
        for (var i = 0; i < count; i++) await temp.Write(t => RecordStore.Append(t, Ada, "flag.acknowledge", $"flag {i}", new { i }, new { i = i + 1 }, "why", TempStores.Now.AddSeconds(i)));
    }

    private IReadOnlyList<RecordFinding> Findings() => RecordVerifier.Verify(temp.Stores.Database).Findings;

    // Hashes made right again, from one entry to another: each follows the one before.
    private void Reseal(long first, long last)
    {
        for (var number = first; number <= last; number++)
        {
            var entry = temp.Stores.Record.Get(number)! with { Previous = temp.Stores.Record.Get(number - 1)!.Hash };
            temp.Tamper($"UPDATE record SET previous = x'{Convert.ToHexString(entry.Previous)}', hash = x'{Convert.ToHexString(RecordHash.Of(entry))}' WHERE number = {number}");
        }
    }
}
