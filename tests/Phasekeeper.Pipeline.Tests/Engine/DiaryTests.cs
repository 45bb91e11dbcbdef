using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Engine;

/// <summary>
/// From packets to flags: every kind of injected event is found by a rule that is meant for it, with the amount that was put in, and the quiet day before raises nothing.
/// A short form of the benchmark <c>diary</c>, which runs the demo's own 30 days.
/// </summary>
public class DiaryTests
{
    private const double QuietHours = 24;
    private static readonly ScenarioEvent[] Events =
    [
        new() { Name = "storm", Kind = ScenarioEventKind.SpikeStorm, StartHours = 26, DurationHours = 1, Size = 40 },
        new() { Name = "lamp test", Kind = ScenarioEventKind.LampTest, StartHours = 30, DurationHours = 0.75, Size = 0.2 },
        new() { Name = "dimming", Kind = ScenarioEventKind.LampDimming, StartHours = 33, DurationHours = 4, Size = 0.35 },
        new() { Name = "late", Kind = ScenarioEventKind.LostDownlink, StartHours = 39, DurationHours = 1.6, DeliveredHours = 44 },
        new() { Name = "step", Kind = ScenarioEventKind.ImageShiftStep, StartHours = 44.3, Size = 0.15, View = "F" },
        new() { Name = "visibility", Kind = ScenarioEventKind.VisibilityLoss, StartHours = 47, DurationHours = 4, Size = 0.22, View = "A" },
        new() { Name = "corrupted", Kind = ScenarioEventKind.CorruptedPackets, StartHours = 53.5, DurationHours = 0.4, Size = 0.06 },
        new() { Name = "clock", Kind = ScenarioEventKind.ClockJump, StartHours = 55, DurationHours = 0.5, Size = 40 },
        new() { Name = "lost", Kind = ScenarioEventKind.LostDownlink, StartHours = 57.5, DurationHours = 1.7 },
        new() { Name = "heater", Kind = ScenarioEventKind.HeaterStuckOff, StartHours = 61, DurationHours = 3.2 },
    ];

    [Fact]
    public async Task Every_kind_of_event_is_found_by_its_rule_and_a_quiet_day_raises_nothing()
    {
        var scenario = DemoScenario.Default with
        {
            Events = Events,
            Activities = [.. DemoScenario.Default.Activities.Where(a => a.Category == "lamp test").Select(a => a with { StartHours = 30 })],
        };
        var generator = new ScenarioGenerator(scenario);
        using var mission = await TestMission.StartAsync(generator);
        await mission.TakeAsync(generator.PacketsFor(generator.FirstPacket, scenario.At(44), Environment.ProcessorCount));
        await mission.DrainAsync();
        var gap = Assert.Single(Of("data-gap"), f => f.From >= scenario.At(37) && f.From < scenario.At(41));
        await mission.TakeAsync(generator.LatePackets(Events.Single(e => e.Name == "late"), Environment.ProcessorCount));
        await mission.TakeAsync(generator.PacketsFor(scenario.At(44), scenario.At(66), Environment.ProcessorCount));
        await mission.DrainAsync();

        Assert.DoesNotContain(Standing(), f => f.From < scenario.At(QuietHours));
        Found("storm", "spike-storm");
        // The lamp's current is the test's alone; its voltage also shows the dimming that follows, which no activity explains.
        Assert.Equal("Lamp test", Assert.Single(Found("lamp test", "profile-change"), f => f.Subject == "LAMP_I").ExplainedBy);
        Assert.Null(Assert.Single(Found("lamp test", "profile-change"), f => f.Subject == "LAMP_V").ExplainedBy);
        Assert.All(Found("dimming", "lamp-loss"), f => Assert.InRange(f.Value!.Value, 34, 36));
        Assert.InRange(Assert.Single(Found("step", "image-shift-step"), f => f.View == "F").Value!.Value, 0.147, 0.153);
        Assert.All(Found("visibility", "visibility-loss"), f => Assert.Equal("A", f.View));
        Assert.All(Found("visibility", "visibility-loss"), f => Assert.InRange(f.Value!.Value, 20, 24));
        Found("corrupted", "undecodable-data");
        Assert.Contains(Found("clock", "clock-jump"), f => Math.Abs(f.Value!.Value) is > 39 and < 41);
        Found("lost", "data-gap");
        Found("heater", "thermal-residual", "temperature-rate", "profile-change");
        // What came late leaves no gap, and its flag stays to be seen as withdrawn.
        Assert.Equal("withdrawn", mission.Stores.Flags.Get(gap.Id)!.State);

        FlagRow[] Standing() => [.. mission.Stores.Flags.List(Instant.MinValue, Instant.MaxValue, 10_000).Items.Where(f => f.State != "withdrawn")];
        FlagRow[] Of(string rule) => [.. Standing().Where(f => f.Rule == rule)];
        FlagRow[] Found(string name, params string[] rules)
        {
            var e = Events.Single(e => e.Name == name);
            // An orbit before and behind: flags are about whole orbits.
            var (from, to) = (scenario.At(e.StartHours - 1.7), scenario.At(Math.Min(e.EndHours, e.StartHours + 5) + 1.7));
            var found = Standing().Where(f => rules.Contains(f.Rule) && f.From >= from && f.From < to).ToArray();
            Assert.True(found.Length > 0, $"{name}: no flag of {string.Join(" or ", rules)} between {from} and {to}; found {string.Join("; ", Standing().Select(f => $"{f.Rule} {f.From}"))}.");
            return found;
        }
    }
}
