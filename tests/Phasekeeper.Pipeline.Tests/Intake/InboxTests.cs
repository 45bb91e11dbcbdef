using Microsoft.Extensions.Logging.Abstractions;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Intake;

namespace Phasekeeper.Pipeline.Tests.Intake;

public sealed class InboxTests
{
    [Fact]
    public async Task Any_name_in_any_subfolder_is_taken_in_and_removed()
    {
        using var fixture = new IntakeFixture();
        using var watcher = Watcher(fixture);
        Drop(fixture, "a.pkt", IntakeFixture.Join(IntakeFixture.Packets(3)));
        Drop(fixture, "pass 7/x/noname", IntakeFixture.Join(IntakeFixture.Packets(3, first: 3)));
        Drop(fixture, ".hidden.bin", IntakeFixture.Packet(10, 100));
        Drop(fixture, "plan.ics", "BEGIN:VCALENDAR"u8.ToArray());
        Assert.Equal(4, await watcher.ScanAsync());
        Assert.Equal(7, fixture.Intake.Figures().Stored);
        Assert.Single(fixture.Stores.Auxiliary.List());
        Assert.Empty(Directory.GetFiles(fixture.Inbox, "*", SearchOption.AllDirectories));
        Assert.Equal(0, fixture.Intake.Figures().PendingFiles);
    }

    [Fact]
    public async Task A_file_that_cannot_be_taken_in_is_put_on_record_and_keeps_no_other_out()
    {
        using var fixture = new IntakeFixture();
        using var watcher = Watcher(fixture);
        var large = new byte[IntakeFixture.LargestAuxiliary + 1];
        "CCSDS_OEM_VERS = 2.0"u8.CopyTo(large);
        large.AsSpan(20).Fill((byte)' ');
        var file = Drop(fixture, "a-large.oem", large);
        Drop(fixture, "b.pkt", IntakeFixture.Packet(1, 1));
        Assert.Equal(1, await watcher.ScanAsync());
        Assert.Equal(0, await watcher.ScanAsync());
        Assert.True(File.Exists(file));
        Assert.Equal(1, fixture.Intake.Figures().Stored);
        var refused = Assert.Single(fixture.Stores.Ingest.List(10).Items, r => r.Error is not null);
        Assert.Equal("inbox:a-large.oem", refused.Source);
        Assert.Contains("larger than 5000 bytes", refused.Error, StringComparison.Ordinal);
        // Nothing more will happen to it by itself, so nobody must wait for it.
        Assert.Equal(0, fixture.Intake.Figures().PendingFiles);
        // Changed, it is looked at again.
        Drop(fixture, "a-large.oem", large[..1000], ageS: 5);
        Assert.Equal(1, fixture.Intake.Figures().PendingFiles);
        Assert.Equal(1, await watcher.ScanAsync());
        Assert.Single(fixture.Stores.Auxiliary.List());
    }

    [Fact]
    public async Task A_failure_that_may_pass_is_tried_again_after_a_minute()
    {
        using var fixture = new IntakeFixture();
        using var watcher = Watcher(fixture);
        Drop(fixture, "a.pkt", IntakeFixture.Packet(1, 1));
        var failures = 0;
        fixture.Intake.BeforeStep = step =>
        {
            if (step == "removeInboxFile" && failures++ < 2) throw new InvalidOperationException("No space left on the device.");
        };
        Assert.Equal(0, await watcher.ScanAsync());
        Assert.Equal("No space left on the device.", Assert.Single(fixture.Stores.Ingest.List(10).Items).Error);
        Assert.Equal(1, fixture.Intake.Figures().PendingFiles);
        fixture.Time.Advance(TimeSpan.FromSeconds(59));
        Assert.Equal(0, await watcher.ScanAsync());
        Assert.Equal(1, failures);
        fixture.Time.Advance(TimeSpan.FromSeconds(1));
        Assert.Equal(0, await watcher.ScanAsync());
        fixture.Time.Advance(TimeSpan.FromMinutes(1));
        Assert.Equal(1, await watcher.ScanAsync());
        Assert.Equal((1, 0), ((int)fixture.Intake.Figures().Stored, (int)fixture.Intake.Figures().Duplicates));
        Assert.Null(Assert.Single(fixture.Stores.Ingest.List(10).Items).Error);
    }

    [Fact]
    public async Task A_file_that_still_grows_waits_until_it_is_at_rest_for_two_seconds()
    {
        using var fixture = new IntakeFixture();
        using var watcher = Watcher(fixture);
        var packets = IntakeFixture.Packets(4);
        var file = Drop(fixture, "a", packets[0], ageS: 0);
        Assert.Equal(0, await watcher.ScanAsync());
        fixture.Time.Advance(TimeSpan.FromSeconds(1.5));
        Drop(fixture, "a", IntakeFixture.Join(packets[..3]), ageS: 0);
        Assert.Equal(0, await watcher.ScanAsync());
        fixture.Time.Advance(TimeSpan.FromSeconds(1.5));
        Assert.Equal(0, await watcher.ScanAsync());
        fixture.Time.Advance(TimeSpan.FromSeconds(0.5));
        Assert.Equal(1, await watcher.ScanAsync());
        Assert.Equal((3, 0), ((int)fixture.Intake.Figures().Stored, (int)fixture.Intake.Figures().Quarantined));
        Assert.False(File.Exists(file));
    }

    [Fact]
    public async Task A_file_with_a_time_in_the_future_is_taken_once_it_is_at_rest()
    {
        using var fixture = new IntakeFixture();
        using var watcher = Watcher(fixture);
        Drop(fixture, "a", IntakeFixture.Packet(1, 1), ageS: -86400);
        Assert.Equal(0, await watcher.ScanAsync());
        fixture.Time.Advance(TimeSpan.FromSeconds(2));
        Assert.Equal(1, await watcher.ScanAsync());
    }

    [Fact]
    public async Task The_same_name_with_the_same_content_again_is_a_repeat()
    {
        using var fixture = new IntakeFixture();
        using var watcher = Watcher(fixture);
        for (var i = 0; i < 2; i++)
        {
            Drop(fixture, "a", IntakeFixture.Join(IntakeFixture.Packets(3)));
            Assert.Equal(1, await watcher.ScanAsync());
        }
        Assert.Equal((3, 3), ((int)fixture.Intake.Figures().Stored, (int)fixture.Intake.Figures().Duplicates));
    }

    [Fact]
    public async Task A_file_that_changes_while_it_is_read_is_finished_when_it_is_at_rest()
    {
        using var fixture = new IntakeFixture();
        var packets = IntakeFixture.Packets(4);
        var file = Drop(fixture, "a", [.. packets[0], .. packets[1][..5]]);
        var stale = new FileInfo(file);
        Assert.True(stale.Exists);
        Drop(fixture, "a", IntakeFixture.Join(packets));
        Assert.False(await fixture.Intake.IngestFileAsync(stale, default));
        Assert.True(File.Exists(file));
        Assert.True(await fixture.Intake.IngestFileAsync(new FileInfo(file), default));
        Assert.Equal((4, 0, 0), ((int)fixture.Intake.Figures().Stored, (int)fixture.Intake.Figures().Duplicates, (int)fixture.Intake.Figures().Quarantined));
    }

    [Fact]
    public async Task A_file_that_vanished_before_it_was_read_is_no_error()
    {
        using var fixture = new IntakeFixture();
        var gone = new FileInfo(Path.Combine(fixture.Inbox, "gone"));
        await Assert.ThrowsAsync<FileNotFoundException>(() => fixture.Intake.IngestFileAsync(gone, default));
        using var watcher = Watcher(fixture);
        Assert.Equal(0, await watcher.ScanAsync());
    }

    [Theory]
    [InlineData("write")]
    [InlineData("commit")]
    [InlineData("committing")]
    [InlineData("publish")]
    [InlineData("published")]
    [InlineData("removeInboxFile")]
    [InlineData("forgetInboxFile")]
    public async Task A_kill_anywhere_between_inbox_and_archive_counts_every_packet_exactly_once(string step)
    {
        // Some windows, so that the kill meets a file of which a part is committed.
        var packets = IntakeFixture.Packets(24000);
        for (var kill = 1; kill <= 2; kill++)
        {
            var killed = IntakeFixture.NewFolder();
            var times = 0;
            using (var dying = new IntakeFixture(windowBytes: 100_000))
            {
                void Step(string s)
                {
                    if (s != step || ++times < (step.EndsWith("InboxFile", StringComparison.Ordinal) ? 1 : kill)) return;
                    Copy(dying.Folder, killed);
                    throw new IOException("killed");
                }
                dying.Stores.Archive.BeforeStep = Step;
                dying.Intake.BeforeStep = Step;
                var file = Drop(dying, "day.pkt", IntakeFixture.Join(packets));
                await Assert.ThrowsAsync<IOException>(() => dying.Intake.IngestFileAsync(new FileInfo(file), default));
            }

            using var again = new IntakeFixture(killed, windowBytes: 100_000);
            using var watcher = Watcher(again);
            await again.Stores.Archive.RecoverAsync(Instant.FromUtc(2031, 3, 2, 9));
            await watcher.ForgetVanishedAsync();
            Age(again);
            await watcher.ScanAsync();
            var figures = again.Intake.Figures();
            Assert.Equal((24000, 0, 0), ((int)figures.Stored, (int)figures.Duplicates, (int)figures.Quarantined));
            Assert.Equal((0, 24000), ((int)figures.PendingFiles, again.Stores.Archive.ReadPackets(Instant.MinValue, Instant.MaxValue).Count()));
            Assert.Empty(again.Stores.Ingest.PathsInProgress());
            var entry = Assert.Single(again.Stores.Ingest.List(10).Items);
            Assert.Equal((24000, packets.Sum(p => p.Length)), ((int)entry.Stored, (int)entry.Bytes));
        }
    }

    private static InboxWatcher Watcher(IntakeFixture fixture) =>
        new(fixture.Stores, fixture.Intake, fixture.Changes, fixture.Time, NullLogger<InboxWatcher>.Instance);

    private static string Drop(IntakeFixture fixture, string name, byte[] bytes, double ageS = 60)
    {
        var path = Path.Combine(fixture.Inbox, name);
        Directory.CreateDirectory(Path.GetDirectoryName(path)!);
        File.WriteAllBytes(path, bytes);
        File.SetLastWriteTimeUtc(path, fixture.Time.GetUtcNow().UtcDateTime.AddSeconds(-ageS));
        return path;
    }

    private static void Age(IntakeFixture fixture)
    {
        foreach (var file in Directory.GetFiles(fixture.Inbox)) File.SetLastWriteTimeUtc(file, fixture.Time.GetUtcNow().UtcDateTime.AddSeconds(-60));
    }

    private static void Copy(string from, string to)
    {
        foreach (var file in Directory.EnumerateFiles(from, "*", SearchOption.AllDirectories))
        {
            var target = Path.Combine(to, Path.GetRelativePath(from, file));
            Directory.CreateDirectory(Path.GetDirectoryName(target)!);
            File.Copy(file, target);
        }
    }
}
