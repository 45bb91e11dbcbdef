using System.Diagnostics;
using Dapper;
using Microsoft.Data.Sqlite;
using Phasekeeper.Core.Time;
using SQLitePCL;
using Xunit.Abstractions;

namespace Phasekeeper.Storage.Tests.Coefficients;

/// <summary>Lists of sets read heads, not documents: counted in pages that SQLite takes from the file, for five years of weekly sets. Times are printed and not judged.</summary>
public class CoefficientHeadsTests(ITestOutputHelper output)
{
    // Some five years of weeks; a set of the demo with its flats is some 100 KB, its evidence some 60 KB.
    private const int Sets = 300, SetBytes = 100_000, EvidenceBytes = 60_000;

    [Fact]
    public async Task Three_hundred_sets_are_listed_without_their_documents()
    {
        using var temp = new TempStores();
        var flat = new string('7', SetBytes);
        var found = new string('3', EvidenceBytes);
        await temp.Write(t =>
        {
            for (var i = 1; i <= Sets; i++)
            {
                var (id, _) = CoefficientStore.Propose(t, new()
                {
                    Name = $"week {i}",
                    Json = $$"""{"n":{{i}},"flats":"{{flat}}"}""",
                    ValidFrom = TempStores.Now.AddSeconds(7 * 86400.0 * i),
                    ProposedBy = "ada",
                    ProposedRole = Roles.Analyst,
                    Proposed = TempStores.Now,
                    Source = i % 3 == 0 ? CoefficientSource.System : CoefficientSource.ByHand,
                    Reason = $"the numbers of week {i}",
                    Basis = "a test",
                    Against = i > 1 ? i - 1 : null,
                    SoftwareVersion = "1.2",
                });
                for (var n = 0; n < i % 3; n++) CoefficientStore.AddEvidence(t, new() { SetId = id, Against = i > 1 ? i - 1 : null, Computed = TempStores.Now.AddSeconds(n), Document = $$"""{"n":{{n}},"winds":"{{found}}"}""", SoftwareVersion = "1.2" });
                if (i % 2 == 0) CoefficientStore.Decide(t, new() { SetId = id, Decision = CoefficientDecision.Declined, Actor = "lea", Role = Roles.CalibrationLead, Time = TempStores.Now, Note = "no", SoftwareVersion = "1.2" });
            }
        });

        // The same as the rows say.
        var heads = temp.Stores.Coefficients.Heads();
        foreach (var (head, row) in heads.Zip(temp.Stores.Coefficients.All()))
        {
            var newest = temp.Stores.Coefficients.NewestEvidence(row.Id);
            Assert.Equal((row.Id, row.Name, row.ValidFrom, row.ProposedBy, row.Source, row.Reason, row.Basis, row.Against), (head.Id, head.Name, head.ValidFrom, head.ProposedBy, head.Source, head.Reason, head.Basis, head.Against));
            Assert.Equal((row.State, row.Proposed, row.ProposedRole, row.SoftwareVersion), (head.State, head.Proposed, head.ProposedRole, head.SoftwareVersion));
            Assert.Equal(row.Hash, head.Hash);
            Assert.Equal((newest?.Id, newest?.Against, newest?.Computed, newest?.SoftwareVersion), (head.EvidenceId, head.EvidenceAgainst, head.EvidenceComputed, head.EvidenceVersion));
            Assert.Equal((row.Id % 3, row.Id % 2 == 0 ? 1 : 0), (head.Evidences, head.Decisions));
        }
        Assert.Equal(Sets, heads.Count);
        Assert.Equal(heads.Where(h => h.State == CoefficientDecision.Proposed).Select(h => h.Id), temp.Stores.Coefficients.UndecidedHeads().Select(h => h.Id));
        Assert.Equal(heads.Where(h => h.Source == CoefficientSource.System).Select(h => h.Id), temp.Stores.Coefficients.HeadsBySource(CoefficientSource.System).Select(h => h.Id));
        Assert.Equal(heads.Select(h => (h.Id, h.Name)), temp.Stores.Coefficients.Names());
        Assert.Equal(heads[^1].EvidenceId, temp.Stores.Coefficients.Head(Sets)!.EvidenceId);
        Assert.Null(temp.Stores.Coefficients.Head(Sets + 1));
        Assert.Equal(7, temp.Stores.Coefficients.WithHash(heads[6].Hash));

        var headBytes = BytesRead(temp, CoefficientStore.SelectHead + " ORDER BY s.id");
        // What lies behind a document in its row is reached through all of it, also where it is not asked for: without its index a head costs what its set does.
        var withoutIndex = BytesRead(temp, "SELECT name, softwareVersion FROM coefficientSet NOT INDEXED ORDER BY id");
        output.WriteLine($"bytes read: heads {headBytes}; name and version from the table {withoutIndex}");
        Assert.True(headBytes < Sets * 1000, $"{headBytes} bytes for {Sets} heads");
        Assert.True(withoutIndex > Sets * SetBytes, $"{withoutIndex} bytes");

        Time("Heads()", () => temp.Stores.Coefficients.Heads());
        Time("All() and the evidence of each, as lists did before", () =>
        {
            foreach (var set in temp.Stores.Coefficients.All()) temp.Stores.Coefficients.NewestEvidence(set.Id);
            return 0;
        });
    }

    // Pages that a new connection takes from the file, in bytes.
    private static long BytesRead(TempStores temp, string sql)
    {
        using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = temp.Stores.Database.Folder.DatabaseFile, Mode = SqliteOpenMode.ReadOnly, Pooling = false }.ConnectionString);
        connection.Open();
        var page = connection.ExecuteScalar<long>("PRAGMA page_size");
        connection.Execute("SELECT count(*) FROM sqlite_master");
        var before = Misses(connection);
        Assert.NotEmpty(connection.Query(sql));
        return (Misses(connection) - before) * page;
    }

    private static long Misses(SqliteConnection connection)
    {
        Assert.Equal(raw.SQLITE_OK, raw.sqlite3_db_status(connection.Handle!, raw.SQLITE_DBSTATUS_CACHE_MISS, out var misses, out _, 0));
        return misses;
    }

    private void Time<T>(string what, Func<T> work)
    {
        work();
        var watch = Stopwatch.StartNew();
        for (var i = 0; i < 2; i++) work();
        output.WriteLine($"{what}: {watch.Elapsed.TotalMilliseconds / 2:0.0} ms");
    }
}
