using Phasekeeper.Core.Flags.Grouping;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Changes;
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
        // A person works with flags while data still come: whatever comes then, the steps and whose they are stay.
        var steps = new FlagSteps(mission.Stores, new ChangeFeed(TimeProvider.System), TimeProvider.System);
        var team = new FlagTeam([new("kim", true)], FlagCauses.Default);
        var kim = new Actor("kim", Roles.Operator, null);
        var known = Standing().Where(f => f.Id != gap.Id).ToArray();
        Assert.All(await steps.TakeManyAsync([.. known.Select(f => new FlagAt(f.Id, f.Revision))], new(LifeStepKind.Take), kim, team), r => Assert.Null(r.Refusal));
        await steps.TakeAsync(new(gap.Id, 0), new(LifeStepKind.Settle, "the station repeats it", "data system"), kim, team);
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
        Assert.Equal(("withdrawn", "kim", "data system"), (mission.Stores.Flags.Get(gap.Id)!.State, mission.Stores.Flags.Get(gap.Id)!.Holder, mission.Stores.Flags.Get(gap.Id)!.Cause));
        foreach (var flag in known) Assert.Equal("kim", mission.Stores.Flags.Get(flag.Id)!.Holder);

        // Flags of one event are one group, with what the scenario broke first; no group mixes events that have nothing to do with each other.
        var groups = FlagGrouping.Of(Standing(), mission.Engine.Mission!);
        FlagGroup GroupOf(string name, params string[] rules) => Assert.Single(groups, g => Found(name, rules).All(f => g.Members.Any(m => m.Id == f.Id)));
        FlagGroup[] ofEvents =
        [
            GroupOf("storm", "spike-storm"), GroupOf("lamp test", "profile-change"), GroupOf("dimming", "lamp-loss"), GroupOf("step", "image-shift-step"), GroupOf("visibility", "visibility-loss"),
            GroupOf("corrupted", "undecodable-data"), GroupOf("clock", "clock-jump"), GroupOf("lost", "data-gap", "incomplete-orbit"), GroupOf("heater", "thermal-residual", "profile-change", "channel-limit"),
        ];
        Assert.Equal(ofEvents.Length, ofEvents.Select(g => g.Key).Distinct().Count());
        Assert.Equal(["Lamp test"], ofEvents.Select(g => g.Activity).OfType<string>());
        string First(int i) => mission.Stores.Flags.Get(ofEvents[i].Key)!.Rule;
        Assert.Equal(["spike-storm", "lamp-loss", "image-shift-step", "visibility-loss", "undecodable-data", "clock-jump", "data-gap"], new[] { 0, 2, 3, 4, 5, 6, 7 }.Select(First));
        Assert.Contains("IFO_T", mission.Stores.Flags.Get(ofEvents[^1].Key)!.Subject, StringComparison.Ordinal);
        Assert.Contains(ofEvents[3].Members, m => mission.Stores.Flags.Get(m.Id)!.Subject == "image-shift-mean");

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
