namespace Phasekeeper.Storage.Tests.Archive;

/// <summary>
/// The process is "killed" before each durable step: the folder is copied as it is on disk at that moment, and a fresh start works on
/// the copy. So nothing that the dying process does afterwards can help.
/// </summary>
public sealed class KillPointTests
{
    [Theory]
    [InlineData("write", false)]
    [InlineData("commit", false)]
    [InlineData("committing", false)]
    [InlineData("publish", true)]
    [InlineData("published", true)]
    public async Task A_kill_within_a_commit_loses_no_acknowledged_packet_and_counts_none_twice(string step, bool isCommitted)
    {
        var packets = ArchiveFixture.Packets(11, 90);
        var killed = TempStores.NewFolder();
        using var whole = new TempStores();
        await ArchiveFixture.CommitAsync(whole.Stores, packets);

        using (var dying = new TempStores())
        {
            await ArchiveFixture.CommitAsync(dying.Stores, packets.Take(40));
            dying.Stores.Archive.BeforeStep = s =>
            {
                if (s != step) return;
                TempStores.Copy(dying.Folder, killed);
                throw new IOException("killed");
            };
            await Assert.ThrowsAsync<IOException>(() => ArchiveFixture.CommitAsync(dying.Stores, packets.Skip(40)));
        }

        using var again = new TempStores(killed);
        await again.Stores.Archive.RecoverAsync(TempStores.Now);
        var acknowledged = isCommitted ? packets : packets.Take(40).ToList();
        using (var expected = new TempStores())
        {
            await ArchiveFixture.CommitAsync(expected.Stores, acknowledged);
            Assert.Equal(ArchiveFixture.Describe(expected.Stores), ArchiveFixture.Describe(again.Stores));
            Assert.Equal(expected.Stores.Ingest.Totals().Stored, again.Stores.Ingest.Totals().Stored);
        }
        Assert.Empty(Directory.GetFiles(Path.Combine(again.Folder, "archive"), "*.part", SearchOption.AllDirectories));

        // The sender got no answer and sends again.
        var resent = await ArchiveFixture.CommitAsync(again.Stores, packets.Skip(40));
        Assert.Equal(isCommitted, resent.Stored == 0);
        Assert.Equal(ArchiveFixture.Describe(whole.Stores), ArchiveFixture.Describe(again.Stores));
        Assert.Equal(whole.Stores.Ingest.Totals().Stored, again.Stores.Ingest.Totals().Stored);
    }

    [Theory]
    [InlineData("compactWrite")]
    [InlineData("compactCommit")]
    [InlineData("compactPublish")]
    [InlineData("compactDelete")]
    public async Task A_kill_within_a_compaction_changes_nothing(string step)
    {
        var packets = ArchiveFixture.Packets(12, 120);
        var killed = TempStores.NewFolder();
        string expected;
        using (var dying = new TempStores())
        {
            foreach (var part in packets.Chunk(5)) await ArchiveFixture.CommitAsync(dying.Stores, part);
            expected = ArchiveFixture.Describe(dying.Stores);
            dying.Stores.Archive.BeforeStep = s =>
            {
                if (s != step) return;
                TempStores.Copy(dying.Folder, killed);
                throw new IOException("killed");
            };
            await Assert.ThrowsAsync<IOException>(() => dying.Stores.Archive.CompactAsync(ArchiveFixture.Start.AddSeconds(86400), TempStores.Now));
        }
        using var again = new TempStores(killed);
        var before = again.Stores.Ingest.Totals();
        // Readers need no recovery.
        Assert.Equal(expected, ArchiveFixture.Describe(again.Stores));
        var recovery = await again.Stores.Archive.RecoverAsync(TempStores.Now);
        Assert.Equal((0, 0), (recovery.Adopted, recovery.Missing.Count));
        Assert.Equal(expected, ArchiveFixture.Describe(again.Stores));
        await again.Stores.Archive.CompactAsync(ArchiveFixture.Start.AddSeconds(86400), TempStores.Now);
        Assert.Equal(expected, ArchiveFixture.Describe(again.Stores));
        Assert.Equal(before, again.Stores.Ingest.Totals());
        Assert.Equal(again.Stores.Archive.Size().Files, Directory.GetFiles(Path.Combine(again.Folder, "archive"), "*", SearchOption.AllDirectories).Length);
    }
}
