using Dapper;
using Microsoft.Data.Sqlite;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage.Tests.Record;

public sealed class RecordStoreTests
{
    private static readonly Actor Ada = new("ada", Roles.Operator, "10.0.0.7");
    private static readonly Actor Ben = new("ben", Roles.CalibrationLead, "10.0.0.8");

    [Fact]
    public async Task An_entry_tells_who_when_from_where_what_before_after_and_why()
    {
        using var temp = new TempStores();
        await temp.Write(t => RecordStore.Append(t, Ada, RecordKinds.FlagAcknowledge, "f1", new { State = "raised", Value = double.NaN }, new { State = "acknowledged", At = TempStores.Now, Hash = new byte[] { 1, 255 } }, " known ", TempStores.Now));
        var entry = temp.Stores.Record.Get(1)!;
        Assert.Equal((1, TempStores.Now, "ada", "operator", "10.0.0.7", "flag.acknowledge", "f1", "known"), (entry.Number, entry.Time, entry.Person, entry.Role, entry.Address, entry.What, entry.Subject, entry.Reason));
        Assert.Equal("""{"state":"raised","value":null}""", entry.Before);
        Assert.Equal($$"""{"state":"acknowledged","at":"{{TempStores.Now}}","hash":"01ff"}""", entry.After);
        Assert.Equal(RecordHash.Beginning, entry.Previous);
        Assert.Equal(RecordHash.Of(entry), entry.Hash);
    }

    [Fact]
    public void The_hashed_text_is_the_documented_one()
    {
        var entry = new RecordEntry
        {
            Number = 2,
            Time = new Instant(5),
            Person = "zoë",
            Role = "viewer",
            What = "a.b",
            Subject = "s\nn",
            Before = "",
            After = "{}",
            Previous = [.. Enumerable.Repeat((byte)0xab, 32)],
        };
        Assert.Equal("phasekeeper-record/1\nprevious:64:" + string.Concat(Enumerable.Repeat("ab", 32))
            + "\nnumber:1:2\ntime:1:5\nperson:4:zoë\nrole:6:viewer\naddress:-\nwhat:3:a.b\nsubject:3:s\nn\nbefore:0:\nafter:2:{}\nreason:-\n", RecordHash.Text(entry));
    }

    [Fact]
    public async Task What_is_rolled_back_leaves_no_entry_and_the_record_stays_whole()
    {
        using var temp = new TempStores();
        await temp.Write(t => RecordStore.Append(t, Ada, "k", "one", null, null, null));
        await Assert.ThrowsAsync<InvalidOperationException>(() => temp.Write(t =>
        {
            RecordStore.Append(t, Ada, "k", "never", null, null, null);
            throw new InvalidOperationException();
        }));
        await temp.Write(t => RecordStore.Append(t, Ada, "k", "two", null, null, null));
        Assert.Equal(["two", "one"], temp.Stores.Record.List(new(), 10).Items.Select(e => e.Subject));
        Assert.True(RecordVerifier.Verify(temp.Stores.Database).IsWhole);
    }

    [Theory]
    [InlineData("UPDATE record SET reason = 'better' WHERE number = 1")]
    [InlineData("DELETE FROM record WHERE number = 2")]
    [InlineData("INSERT OR REPLACE INTO record SELECT number, time, 'other', role, address, what, subject, before, after, reason, previous, hash FROM record WHERE number = 1")]
    [InlineData("INSERT INTO record SELECT 9, time, person, role, address, what, subject, before, after, reason, previous, hash FROM record WHERE number = 1")]
    public async Task The_database_refuses_to_change_remove_replace_or_skip(string sql)
    {
        using var temp = new TempStores();
        for (var i = 0; i < 2; i++) await temp.Write(t => RecordStore.Append(t, Ada, "k", "s", null, null, null));
        await Assert.ThrowsAsync<SqliteException>(() => temp.Write(t => t.Connection!.Execute(sql, transaction: t)));
        Assert.Equal(2, temp.Stores.Record.Head().Entries);
        Assert.True(RecordVerifier.Verify(temp.Stores.Database).IsWhole);
    }

    [Fact]
    public async Task Entries_added_at_the_same_time_make_one_chain()
    {
        using var temp = new TempStores();
        await Task.WhenAll(Enumerable.Range(0, 8).Select(w => Task.Run(async () =>
        {
            for (var i = 0; i < 25; i++)
                await temp.Write(t =>
                {
                    RecordStore.Append(t, Ada, "k", $"{w}", null, i, null);
                    if (i % 5 == 0) RecordStore.Append(t, Ben, "k", $"{w} more", null, i, null);
                });
        })));
        var report = RecordVerifier.Verify(temp.Stores.Database);
        Assert.True(report.IsWhole, string.Join('\n', report.Findings));
        Assert.Equal(8 * 30, report.Entries);
        // What each writer added stands in its order.
        foreach (var own in temp.Stores.Record.List(new(), 1000).Items.Reverse().Where(e => !e.Subject.EndsWith("more", StringComparison.Ordinal)).GroupBy(e => e.Subject))
            Assert.Equal(Enumerable.Range(0, 25).Select(i => $"{i}"), own.Select(e => e.After));
    }

    [Fact]
    public async Task Lists_are_narrowed_by_each_filter_and_paged_without_loss()
    {
        using var temp = new TempStores();
        for (var i = 0; i < 20; i++)
            await temp.Write(t => RecordStore.Append(t, i % 2 == 0 ? Ada : Ben, i % 5 == 0 ? "flag.acknowledge" : "file.receive", $"subject {i % 4}", null, new { Note = $"100% of_{i}" }, i == 7 ? "because of the Heater" : null, TempStores.Now.AddSeconds(i)));
        Assert.Equal(10, Count(new(Person: "ada")));
        Assert.Equal(4, Count(new(What: "flag.acknowledge")));
        Assert.Equal(5, Count(new(Subject: "subject 3")));
        Assert.Equal(3, Count(new(From: TempStores.Now.AddSeconds(4), To: TempStores.Now.AddSeconds(7))));
        Assert.Equal(1, Count(new(Text: "heater")));
        Assert.Equal(1, Count(new(Text: "100% of_12")));
        // Signs that SQL's LIKE knows are signs like others.
        Assert.Equal(0, Count(new(Text: "100_ of%12")));
        Assert.Equal(1, Count(new("ben", "file.receive", "subject 3", TempStores.Now.AddSeconds(6), TempStores.Now.AddSeconds(9), "heater")));
        Assert.Equal(["ada", "ben"], temp.Stores.Record.People());
        Assert.Equal(["file.receive", "flag.acknowledge"], temp.Stores.Record.Kinds());
        var all = new List<long>();
        string? next = null;
        do
        {
            var page = temp.Stores.Record.List(new(), 7, next);
            all.AddRange(page.Items.Select(e => e.Number));
            next = page.Next;
        }
        while (next is not null);
        Assert.Equal(Enumerable.Range(1, 20).Reverse().Select(i => (long)i), all);

        int Count(RecordFilter filter) => temp.Stores.Record.List(filter, 100).Items.Count;
    }
}
