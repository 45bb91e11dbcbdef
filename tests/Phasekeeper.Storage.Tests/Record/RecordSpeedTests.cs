using System.Diagnostics;
using Xunit.Abstractions;

namespace Phasekeeper.Storage.Tests.Record;

public sealed class RecordSpeedTests(ITestOutputHelper output)
{
    [Fact]
    public async Task A_hundred_thousand_entries_are_searched_and_verified()
    {
        const int count = 100_000;
        using var temp = new TempStores();
        var clock = Stopwatch.StartNew();
        await temp.Write(t =>
        {
            for (var i = 0; i < count; i++)
                RecordStore.Append(t, new Actor($"person {i % 20}", Roles.Operator, "10.0.0.7"), i % 3 == 0 ? RecordKinds.FlagAcknowledge : RecordKinds.PacketsReceive, $"thing {i}",
                    new { State = "raised", Severity = "warning", Message = $"Thermal residual of {i % 97} m/s" }, new { State = "acknowledged", Severity = "warning", Message = $"Thermal residual of {i % 97} m/s" }, $"note {i}", TempStores.Now.AddSeconds(i));
        });
        Say($"append {count} in one transaction");
        for (var i = 0; i < 50; i++) await temp.Write(t => RecordStore.Append(t, Actor.System, "k", "s", null, null, null));
        Say("append 50 in a transaction each");
        Assert.Equal(100, temp.Stores.Record.List(new(), 100).Items.Count);
        Say("newest 100");
        Assert.Single(temp.Stores.Record.List(new(Text: "note 77777"), 100).Items);
        Say("text that one entry has");
        Assert.Empty(temp.Stores.Record.List(new(Text: "nowhere"), 100).Items);
        Say("text that none has");
        Assert.Equal(100, temp.Stores.Record.List(new(Person: "person 3", What: RecordKinds.FlagAcknowledge), 100).Items.Count);
        Say("person and kind");
        Assert.Single(temp.Stores.Record.List(new(Subject: "thing 5"), 100).Items);
        Say("subject");
        Assert.Equal(21, temp.Stores.Record.People().Count);
        Assert.Equal(3, temp.Stores.Record.Kinds().Count);
        Say("names of people and kinds");
        Assert.True(RecordVerifier.Verify(temp.Stores.Database).IsWhole);
        Say("verify");

        void Say(string what)
        {
            output.WriteLine($"{what}: {clock.Elapsed.TotalMilliseconds:0} ms");
            clock.Restart();
        }
    }
}
