using System.Text;
using FsCheck.Xunit;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Intake;

public sealed class IntakeServiceTests
{
    [Property(MaxTest = 8)]
    public void Any_order_any_split_and_any_repeats_end_in_the_same(int seed)
    {
        var random = new Random(seed);
        var good = IntakeFixture.Packets(40);
        byte[] damaged = [.. good[7]];
        damaged[15] ^= 0x40;
        var conflict = IntakeFixture.Packet(9, 90, 123456);
        var pieces = good.Append(damaged).Append(conflict).Concat(IntakeFixture.Parts(500, 3700, 99)).Append(IntakeFixture.Packet(900, 86400 * 400)).ToArray();

        using var straight = new IntakeFixture();
        straight.Intake.IngestAsync(IntakeFixture.Join(pieces), "test", Actor.System).GetAwaiter().GetResult();
        var expected = straight.Describe();
        var expectedFigures = straight.Intake.Figures();
        // 40 packets and a joined one are in use; a conflict, a bad checksum and an impossible time wait.
        Assert.Equal(41, straight.Stores.Archive.ReadPackets(Instant.MinValue, Instant.MaxValue).Count());
        Assert.Equal((43, 3), ((int)expectedFigures.Stored, (int)expectedFigures.Quarantined));

        using var shuffled = new IntakeFixture();
        var all = pieces.Concat(Enumerable.Range(0, 15).Select(_ => pieces[random.Next(pieces.Length)])).ToArray();
        random.Shuffle(all);
        for (var at = 0; at < all.Length;)
        {
            var size = random.Next(1, 12);
            shuffled.Intake.IngestAsync(IntakeFixture.Join(all.Skip(at).Take(size)), $"part {at}", Actor.System).GetAwaiter().GetResult();
            at += size;
        }
        Assert.Equal(expected, shuffled.Describe());
        Assert.Equal(expectedFigures with { Duplicates = 15 }, shuffled.Intake.Figures());
        Assert.Empty(shuffled.Stores.Archive.WaitingPartCounts());
    }

    [Fact]
    public async Task Windows_of_any_size_give_what_one_look_at_everything_gives()
    {
        var packets = IntakeFixture.Packets(9000);
        // Damage: a flipped bit, garbage between packets, and a tail that was cut off.
        packets[4000][14] ^= 1;
        packets[5000] = [.. packets[5000], .. Encoding.ASCII.GetBytes("garbage between")];
        packets[^1] = packets[^1][..9];
        var bytes = IntakeFixture.Join(packets);
        using var whole = new IntakeFixture();
        using var windowed = new IntakeFixture(windowBytes: 5000);
        var expected = await whole.Intake.IngestAsync(bytes, "test", Actor.System);
        Assert.Equal((8998, 3), ((int)expected.Stored, (int)expected.Quarantined));
        Assert.Equal(expected, await windowed.Intake.IngestAsync(bytes, "test", Actor.System));
        Assert.Equal(whole.Describe(), windowed.Describe());
        Assert.Equal(whole.Stores.Quarantine.List(Instant.MinValue, Instant.MaxValue, 10).Items.Select(q => (q.Offset, q.Reason)),
            windowed.Stores.Quarantine.List(Instant.MinValue, Instant.MaxValue, 10).Items.Select(q => (q.Offset, q.Reason)));
    }

    [Fact]
    public async Task Garbage_without_end_stays_in_bounds()
    {
        using var fixture = new IntakeFixture(windowBytes: 300_000);
        var garbage = new byte[3_000_000];
        Array.Fill(garbage, (byte)0xFF);
        var result = await fixture.Intake.IngestAsync(garbage, "test", Actor.System);
        Assert.Equal((0, 3_000_000), ((int)result.Stored, (int)result.Bytes));
        var items = fixture.Stores.Quarantine.List(Instant.MinValue, Instant.MaxValue, 100).Items;
        Assert.InRange(items.Count, 1, 20);
        Assert.All(items, i => Assert.InRange(i.Kept, 1, QuarantineStore.LargestKept));
    }

    [Fact]
    public async Task Parts_wait_for_their_partners_across_files_and_starts()
    {
        var parts = IntakeFixture.Parts(16383, 50, 4242);
        var moved = IntakeFixture.NewFolder();
        using (var first = new IntakeFixture())
        {
            var waiting = IntakeFixture.Join([parts[2], parts[0]]);
            Assert.Equal(2, (await first.Intake.IngestAsync(waiting, "a", Actor.System)).Stored);
            Assert.Equal(2, (await first.Intake.IngestAsync(waiting, "b", Actor.System)).Duplicates);
            Assert.Empty(first.Stores.Archive.ReadPackets(Instant.MinValue, Instant.MaxValue));
            Assert.Equal(2, first.Stores.Archive.WaitingPartCounts()[100]);
            Directory.CreateDirectory(moved);
            first.Stores.Database.BackupTo(Path.Combine(moved, "phasekeeper.db"));
        }
        using var second = new IntakeFixture(moved);
        Assert.Equal(1, (await second.Intake.IngestAsync(parts[1], "c", Actor.System)).Stored);
        var packet = Assert.Single(second.Stores.Archive.ReadPackets(Instant.MinValue, Instant.MaxValue));
        Assert.Equal((100, 16383, IntakeFixture.Start.AddSeconds(50)), (packet.Place.Apid, packet.Place.SequenceCount, packet.Time));
        // A repeat of a part that was used is a repeat.
        Assert.Equal(1, (await second.Intake.IngestAsync(parts[1], "d", Actor.System)).Duplicates);
        Assert.Equal(3, second.Intake.Figures().Stored);
    }

    [Theory]
    [InlineData("api", "CCSDS_OEM_VERS = 2.0\nCREATION_DATE = 2031-03-01T00:00:00\n", "orbit", "oem")]
    [InlineData("upload:x.txt", "CCSDS_AEM_VERS = 1.0\n", "attitude", "aem")]
    [InlineData("inbox:plan", "BEGIN:VCALENDAR\r\nVERSION:2.0\r\n", "activities", "ics")]
    [InlineData("api", "<?xml version=\"1.0\"?>\n<ndm><omm id=\"CCSDS_OMM_VERS\">", "orbit", "omm")]
    [InlineData("api", "1 25544U 98067A   08264.51782528 -.00002182  00000-0 -11606-4 0  2927\n2 25544  51.6416 247.4627 0006703 130.5360 325.0288 15.72125391563537\n", "orbit", "tle")]
    [InlineData("inbox:sub/late.ics", "not quite a calendar", "activities", "ics")]
    public async Task Orbit_attitude_and_activity_files_are_recognised(string source, string text, string kind, string format)
    {
        using var fixture = new IntakeFixture();
        var bytes = Encoding.UTF8.GetBytes(text);
        Assert.Equal(1, (await fixture.Intake.IngestAsync(bytes, source, Actor.System)).Stored);
        Assert.Equal(1, (await fixture.Intake.IngestAsync(bytes, source, Actor.System)).Duplicates);
        var file = Assert.Single(fixture.Stores.Auxiliary.List());
        Assert.Equal((kind, format, "received"), (file.Kind, file.Format, file.State));
        Assert.Equal(bytes, fixture.Stores.Auxiliary.Content(file.Id));
        Assert.Equal(file.Id, Assert.Single(fixture.Stores.Work.Peek(WorkQueue.ReadAuxiliary)).Key);
        Assert.Equal((0, 0), ((int)fixture.Intake.Figures().Stored, (int)fixture.Intake.Figures().Duplicates));
    }

    [Fact]
    public async Task A_file_named_pkt_is_packets_whatever_it_holds()
    {
        using var fixture = new IntakeFixture();
        Assert.Equal(1, (await fixture.Intake.IngestAsync(Encoding.UTF8.GetBytes("CCSDS_OEM_VERS = 2.0"), "inbox:a.pkt", Actor.System)).Quarantined);
        Assert.Empty(fixture.Stores.Auxiliary.List());
    }

    [Fact]
    public async Task A_retry_that_fails_again_leaves_the_item_waiting_and_a_discarded_one_stays_discarded()
    {
        using var fixture = new IntakeFixture();
        await fixture.Intake.IngestAsync(IntakeFixture.Packet(1, 86400 * 500), "test", Actor.System);
        var item = Assert.Single(fixture.Stores.Quarantine.List(Instant.MinValue, Instant.MaxValue, 10).Items);
        Assert.Equal("impossibleTime", item.Kind);
        await fixture.Intake.RetryAsync(item.Id, Actor.System);
        Assert.Equal("waiting", fixture.Stores.Quarantine.Get(item.Id)!.State);
        await fixture.Intake.DiscardAsync(item.Id, Actor.System);
        Assert.Equal(0, fixture.Intake.Figures().Quarantined);
        await Assert.ThrowsAsync<KeyNotFoundException>(() => fixture.Intake.RetryAsync(99, Actor.System));
    }

    [Fact]
    public async Task A_retry_under_wider_rules_takes_the_item_out()
    {
        using var fixture = new IntakeFixture();
        await fixture.Intake.IngestAsync(IntakeFixture.Packet(1, 86400 * 500), "test", Actor.System);
        using var wider = new Pipeline.Intake.IntakeService(fixture.Stores,
            new Pipeline.Intake.IntakeRules(IntakeFixture.Plan, Instant.FromUtc(2030, 1, 1), Instant.FromUtc(2040, 1, 1), null), fixture.Changes, fixture.Time);
        Assert.Equal(1, (await wider.RetryAsync(1, Actor.System)).Stored);
        Assert.Equal("retried", fixture.Stores.Quarantine.Get(1)!.State);
        Assert.Equal((1, 0), ((int)wider.Figures().Stored, (int)wider.Figures().Quarantined));
    }

    [Fact]
    public async Task A_request_that_breaks_off_keeps_what_was_committed_and_says_so()
    {
        using var fixture = new IntakeFixture(windowBytes: 100_000);
        await Assert.ThrowsAsync<IOException>(() => fixture.Intake.IngestAsync(new BrokenStream(IntakeFixture.Join(IntakeFixture.Packets(24000)), 400_000), "api", Actor.System));
        var entry = Assert.Single(fixture.Stores.Ingest.List(10).Items);
        Assert.Equal("The connection broke.", entry.Error);
        Assert.InRange(entry.Stored, 1, 20000);
        Assert.Equal(entry.Stored, fixture.Intake.Figures().Stored);
        Assert.Equal(0, fixture.Intake.Figures().PendingFiles);
    }

    [Fact]
    public async Task Figures_are_idle_only_when_nothing_is_left_to_do()
    {
        using var fixture = new IntakeFixture();
        Assert.True(fixture.Intake.Figures().Idle);
        await fixture.Intake.IngestAsync(IntakeFixture.Join(IntakeFixture.Packets(5)), "test", Actor.System);
        var figures = fixture.Intake.Figures();
        Assert.Equal((false, 5L, IntakeFixture.Start.AddSeconds(40)), (figures.Idle, figures.Stored, figures.LastPacketTime!.Value));
        foreach (var item in fixture.Stores.Work.Peek(WorkQueue.DecodeHour, 10)) await fixture.Stores.Database.WriteAsync(t => WorkQueue.Clear(t, item));
        Assert.True(fixture.Intake.Figures().Idle);
        File.WriteAllBytes(Path.Combine(fixture.Inbox, "a"), new byte[7]);
        Assert.Equal((false, 1L, 7L), (fixture.Intake.Figures().Idle, fixture.Intake.Figures().PendingFiles, fixture.Intake.Figures().PendingBytes));
    }

    private sealed class BrokenStream(byte[] bytes, int breaksAt) : MemoryStream(bytes)
    {
        public override ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default) =>
            Position >= breaksAt ? throw new IOException("The connection broke.") : base.ReadAsync(buffer, cancellationToken);
    }
}
