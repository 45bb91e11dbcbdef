using System.Text;
using System.Text.Json;
using Microsoft.Extensions.Logging.Abstractions;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Intake;

/// <summary>What intake puts on record, and under whose name.</summary>
public sealed class IntakeRecordTests
{
    private static readonly Actor Ada = new("ada", Roles.Operator, "10.0.0.7");

    [Fact]
    public async Task Each_committed_part_of_a_request_has_an_entry_and_together_they_tell_all()
    {
        using var fixture = new IntakeFixture(windowBytes: 100_000);
        var total = await fixture.Intake.IngestAsync(IntakeFixture.Join(IntakeFixture.Packets(24000)), "upload:day.pkt", Ada);
        var entries = Entries(fixture);
        Assert.True(entries.Count > 2);
        Assert.All(entries, e => Assert.Equal(("ada", "operator", "10.0.0.7", RecordKinds.PacketsReceive, "upload:day.pkt"), (e.Person, e.Role, e.Address, e.What, e.Subject)));
        Assert.Equal((total.Stored, total.Bytes), (entries.Sum(e => After(e, "stored").GetInt64()), entries.Sum(e => After(e, "bytes").GetInt64())));
        Assert.Equal([.. Enumerable.Repeat(false, entries.Count - 1), true], entries.Select(e => After(e, "isLastPart").GetBoolean()));
    }

    [Fact]
    public async Task A_request_that_breaks_off_is_on_record_as_far_as_it_was_committed()
    {
        using var fixture = new IntakeFixture(windowBytes: 100_000);
        await Assert.ThrowsAsync<IOException>(() => fixture.Intake.IngestAsync(new BreakingStream(IntakeFixture.Join(IntakeFixture.Packets(24000)), 400_000), "api", Ada));
        var stored = fixture.Intake.Figures().Stored;
        Assert.True(stored > 0);
        Assert.Equal(stored, Entries(fixture).Sum(e => After(e, "stored").GetInt64()));
    }

    [Fact]
    public async Task Packets_of_the_inbox_are_in_the_log_and_its_files_on_record_as_the_programs_own()
    {
        using var fixture = new IntakeFixture();
        using var watcher = new InboxWatcher(fixture.Stores, fixture.Intake, fixture.Changes, fixture.Time, NullLogger<InboxWatcher>.Instance);
        foreach (var (name, bytes) in new[] { ("a.pkt", IntakeFixture.Packet(1, 1)), ("plan.ics", "BEGIN:VCALENDAR"u8.ToArray()) })
        {
            var file = Path.Combine(fixture.Inbox, name);
            File.WriteAllBytes(file, bytes);
            File.SetLastWriteTimeUtc(file, fixture.Time.GetUtcNow().UtcDateTime.AddSeconds(-60));
        }
        Assert.Equal(2, await watcher.ScanAsync());
        var entry = Assert.Single(Entries(fixture));
        Assert.Equal(("system", RecordKinds.FileReceive, "plan.ics", "activities", "inbox:plan.ics"), (entry.Person, entry.What, entry.Subject, After(entry, "kind").GetString(), After(entry, "source").GetString()));
    }

    [Fact]
    public async Task A_file_that_is_known_already_says_so()
    {
        using var fixture = new IntakeFixture();
        for (var i = 0; i < 2; i++) await fixture.Intake.IngestAsync(Encoding.UTF8.GetBytes("BEGIN:VCALENDAR"), $"api:plan {i}.ics", Ada);
        Assert.Equal([false, true], Entries(fixture).Select(e => After(e, "knownAlready").GetBoolean()));
        Assert.Single(Entries(fixture).Select(e => After(e, "sha256").GetString()).Distinct());
    }

    [Fact]
    public async Task A_retry_and_a_discard_tell_the_state_before_and_after()
    {
        using var fixture = new IntakeFixture();
        await fixture.Intake.IngestAsync(IntakeFixture.Packet(1, 86400 * 500), "test", Ada);
        var item = Assert.Single(fixture.Stores.Quarantine.List(Instant.MinValue, Instant.MaxValue, 10).Items);
        await fixture.Intake.RetryAsync(item.Id, Ada);
        await fixture.Intake.DiscardAsync(item.Id, Ada);
        await Assert.ThrowsAsync<InvalidOperationException>(() => fixture.Intake.DiscardAsync(item.Id, Ada));
        var steps = Entries(fixture).Where(e => e.Subject == $"quarantine item {item.Id}").ToArray();
        Assert.Equal([(RecordKinds.QuarantineRetry, "waiting", "waiting"), (RecordKinds.QuarantineDiscard, "waiting", "discarded")],
            steps.Select(e => (e.What, JsonDocument.Parse(e.Before!).RootElement.GetProperty("state").GetString(), After(e, "state").GetString())));
    }

    private static IReadOnlyList<RecordEntry> Entries(IntakeFixture fixture) => [.. fixture.Stores.Record.List(new(), 1000).Items.Reverse()];

    private static JsonElement After(RecordEntry entry, string name) => JsonDocument.Parse(entry.After!).RootElement.GetProperty(name);

    // A connection that breaks after some bytes.
    private sealed class BreakingStream(byte[] bytes, int at) : MemoryStream(bytes)
    {
        public override ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default) =>
            Position >= at ? throw new IOException("The connection broke.") : base.ReadAsync(buffer[..(int)Math.Min(buffer.Length, at - Position)], cancellationToken);
    }
}
