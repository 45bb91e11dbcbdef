using FsCheck.Xunit;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage.Tests.Archive;

public sealed class PacketArchiveTests
{
    [Property(MaxTest = 12)]
    public void Order_splits_and_repeats_change_nothing_but_the_number_of_duplicates(int seed)
    {
        var random = new Random(seed);
        var packets = ArchiveFixture.Packets(seed, 60);
        var repeats = Enumerable.Range(0, 25).Select(_ => packets[random.Next(packets.Count)]).ToList();
        var bad = Enumerable.Range(0, 3).Select(i => new QuarantineEntry("garbage", "No packet starts here.", "test", i, 2, new byte[] { (byte)i, 7 })).ToList();

        using var straight = new TempStores();
        ArchiveFixture.CommitAsync(straight.Stores, packets, quarantine: bad).GetAwaiter().GetResult();
        var expected = ArchiveFixture.Describe(straight.Stores);

        using var shuffled = new TempStores();
        var all = packets.Concat(repeats).ToArray();
        random.Shuffle(all);
        var total = default(IngestResult);
        for (var at = 0; at < all.Length;)
        {
            var size = random.Next(1, 30);
            total += ArchiveFixture.CommitAsync(shuffled.Stores, all.Skip(at).Take(size), quarantine: bad).GetAwaiter().GetResult();
            at += size;
        }
        Assert.Equal(expected, ArchiveFixture.Describe(shuffled.Stores));
        var distinct = packets.Select(p => p.Hash).Distinct().Count();
        // Every packet is counted once; of the bad pieces each repeat is a duplicate too.
        Assert.Equal(all.Length - distinct, total.Duplicates - total.KnownQuarantined);
        Assert.Equal(straight.Stores.Ingest.Totals() with { Duplicates = 0, Bytes = 0 }, shuffled.Stores.Ingest.Totals() with { Duplicates = 0, Bytes = 0 });
        Assert.Equal(total.Duplicates, shuffled.Stores.Ingest.Totals().Duplicates);
        Assert.Equal(distinct, shuffled.Stores.Ingest.Totals().Stored + shuffled.Stores.Quarantine.CountByKind().GetValueOrDefault("conflict"));
    }

    [Fact]
    public async Task Of_two_packets_in_one_place_the_smaller_hash_is_used_whoever_came_first()
    {
        var place = Instant.FromUtc(2031, 3, 1, 12);
        var packets = new[] { 1, 2, 3 }.Select(i => ArchivedPacket.Of(place, 100, 5, new byte[] { (byte)i, 0, 0, 0, 0, 0, 1 })).OrderBy(p => p.Hash).ToArray();
        var described = new HashSet<string>();
        foreach (var order in new[] { (0, 1, 2), (0, 2, 1), (1, 0, 2), (1, 2, 0), (2, 0, 1), (2, 1, 0) })
        {
            using var temp = new TempStores();
            foreach (var i in new[] { order.Item1, order.Item2, order.Item3 }) await ArchiveFixture.CommitAsync(temp.Stores, [packets[i]]);
            var hour = temp.Stores.Archive.ReadHour(Hour.Of(place));
            Assert.Equal(packets[0].Hash, Assert.Single(hour.Used).Hash);
            Assert.Equal([packets[1].Hash, packets[2].Hash], hour.Conflicts.Select(c => c.Loser.Hash));
            Assert.Equal(2, temp.Stores.Quarantine.CountByKind()["conflict"]);
            Assert.Equal(1, temp.Stores.Ingest.Totals().Stored);
            described.Add(ArchiveFixture.Describe(temp.Stores));
        }
        Assert.Single(described);
    }

    [Fact]
    public async Task A_batch_says_what_became_of_each_packet()
    {
        using var temp = new TempStores();
        var packets = ArchiveFixture.Packets(1, 50).DistinctBy(p => p.Place).ToList();
        var first = await ArchiveFixture.CommitAsync(temp.Stores, packets.Take(20));
        Assert.Equal((20, 0, 0), (first.Stored, first.Duplicates, first.Quarantined));
        var second = await ArchiveFixture.CommitAsync(temp.Stores, packets.Skip(10));
        Assert.Equal((packets.Count - 20, 10, 0), (second.Stored, second.Duplicates, second.Quarantined));
        Assert.Equal(packets.Max(p => p.Time.TaiNanoseconds), temp.Stores.Archive.LastPacketTime!.Value.TaiNanoseconds);
    }

    [Fact]
    public async Task Exactly_the_hours_with_new_packets_are_marked()
    {
        using var temp = new TempStores();
        var packets = ArchiveFixture.Packets(2, 40);
        await ArchiveFixture.CommitAsync(temp.Stores, packets);
        var items = temp.Stores.Work.Peek(WorkQueue.DecodeHour, 100);
        Assert.Equal(packets.Select(p => Hour.Of(p.Time)).Distinct().OrderDescending(), items.Select(i => i.Key));
        foreach (var item in items) await temp.Write(t => Assert.True(WorkQueue.Clear(t, item)));
        await ArchiveFixture.CommitAsync(temp.Stores, packets);
        Assert.True(temp.Stores.Work.IsEmpty);
    }

    [Fact]
    public async Task An_archive_without_its_database_is_taken_in_again_whole()
    {
        var folder = TempStores.NewFolder();
        string expected;
        var packets = ArchiveFixture.Packets(3, 80);
        using (var stores = Stores.Open(folder))
        {
            foreach (var part in packets.Chunk(7)) await ArchiveFixture.CommitAsync(stores, part);
            expected = ArchiveFixture.Describe(stores);
        }
        foreach (var file in Directory.GetFiles(folder, "phasekeeper.db*")) File.Delete(file);
        using var temp = new TempStores(folder);
        var recovery = await temp.Stores.Archive.RecoverAsync(TempStores.Now);
        Assert.Equal(packets.Select(p => p.Hash).Distinct().Count(), recovery.AdoptedPackets);
        Assert.Equal(expected, ArchiveFixture.Describe(temp.Stores));
        Assert.Equal(0, temp.Stores.Ingest.Totals().Duplicates);
        Assert.Empty(recovery.Missing);
    }

    [Fact]
    public async Task Compaction_leaves_one_block_an_hour_and_the_same_packets()
    {
        using var temp = new TempStores();
        var packets = ArchiveFixture.Packets(4, 400);
        foreach (var part in packets.OrderBy(p => p.Time.TaiNanoseconds).Chunk(4)) await ArchiveFixture.CommitAsync(temp.Stores, part);
        var expected = ArchiveFixture.Describe(temp.Stores);
        Assert.True(temp.Stores.Archive.Size().Files >= 50);
        Assert.Equal(5, await temp.Stores.Archive.CompactAsync(ArchiveFixture.Start.AddSeconds(86400), TempStores.Now));
        Assert.Equal(0, await temp.Stores.Archive.CompactAsync(ArchiveFixture.Start.AddSeconds(86400), TempStores.Now));
        Assert.Equal(expected, ArchiveFixture.Describe(temp.Stores));
        var size = temp.Stores.Archive.Size();
        Assert.Equal((1, 5), (size.Files, size.Blocks));
        Assert.Single(Directory.GetFiles(Path.Combine(temp.Folder, "archive"), "*", SearchOption.AllDirectories));
        // Repeats are still recognised.
        Assert.Equal(0, (await ArchiveFixture.CommitAsync(temp.Stores, packets)).Stored);
    }

    [Fact]
    public async Task A_damaged_file_is_named_and_never_read_as_something_else()
    {
        using var temp = new TempStores();
        await ArchiveFixture.CommitAsync(temp.Stores, ArchiveFixture.Packets(5, 30));
        var file = Assert.Single(Directory.GetFiles(Path.Combine(temp.Folder, "archive"), "*.seg", SearchOption.AllDirectories));
        File.WriteAllBytes(file, File.ReadAllBytes(file)[..40]);
        var hour = temp.Stores.Archive.Hours(Instant.MinValue, Instant.MaxValue)[0];
        var error = Assert.Throws<StorageException>(() => temp.Stores.Archive.ReadHour(hour));
        Assert.Contains(file, error.Message, StringComparison.Ordinal);
        File.Delete(file);
        Assert.Contains("is in the index but not on disk", Assert.Throws<StorageException>(() => temp.Stores.Archive.ReadHour(hour)).Message, StringComparison.Ordinal);
        Assert.Single((await temp.Stores.Archive.RecoverAsync(TempStores.Now)).Missing);
    }
}
