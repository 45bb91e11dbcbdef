using Microsoft.Extensions.Logging.Abstractions;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Pipeline.Thresholds;
using Phasekeeper.Storage;
using static Phasekeeper.Pipeline.Tests.Coefficients.ShortCampaign;

namespace Phasekeeper.Pipeline.Tests.Thresholds;

/// <summary>Rehearsals as people start them: without data, of every kind of rule, several at once, ended, and while data come in.</summary>
public class RehearsalsTests
{
    [Fact]
    public async Task Without_data_there_is_a_report_that_says_so()
    {
        using var mission = await TestMission.StartAsync(Generator);
        using var rehearsals = Of(mission);
        foreach (var rule in mission.Engine.Mission!.Rules.Enabled)
        {
            var report = await DoneAsync(rehearsals, rule, new(30));
            Assert.Equal((0, 0, 0, null), (report.WouldCounts.Flags, report.WouldCounts.Found, report.DidCounts.Flags, report.WouldCounts.FlagsPerMonth));
            Assert.Equal(("", ""), (report.From, report.To));
        }
    }

    [Fact]
    public async Task Of_every_kind_one_can_be_rehearsed_and_a_stretch_without_data_is_refused_with_what_there_is()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(PacketsOf(0, 4));
        await mission.DrainAsync();
        using var rehearsals = Of(mission);
        foreach (var kind in RuleCatalog.All)
        {
            var rule = mission.Engine.Mission!.Rules.Rules.FirstOrDefault(r => r.Kind == kind.Id) ?? kind.Declare(kind.Id) with { Trackers = kind.DefaultTrackers.Count > 0 ? kind.DefaultTrackers : ["thermal-residual-wind"] };
            Assert.Equal(rule.Id, (await DoneAsync(rehearsals, rule with { Enabled = true }, new())).Rule);
        }
        var some = mission.Engine.Mission!.Rules.Rules[0];
        var refused = await Assert.ThrowsAsync<DecisionRefusedException>(() => rehearsals.StartAsync(some, new(null, Start.AddSeconds(40 * 86400), Start.AddSeconds(50 * 86400)), Ada));
        Assert.Contains(mission.Stores.Orbits.Get(mission.Stores.Orbits.First!.Value)!.Start.ToString(), refused.Message, StringComparison.Ordinal);
        await Assert.ThrowsAsync<DecisionRefusedException>(() => rehearsals.StartAsync(some, new(-1), Ada));
        await Assert.ThrowsAsync<DecisionRefusedException>(() => rehearsals.StartAsync(some, new(), Ada with { Role = Roles.Operator }));
    }

    [Fact]
    public async Task Several_people_wait_for_each_other_one_may_end_theirs_and_data_come_in_meanwhile()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(PacketsOf(0, 4));
        await mission.DrainAsync();
        using var rehearsals = Of(mission);
        var rules = mission.Engine.Mission!.Rules.Enabled.ToList();
        // More than can be through before the last is ended: each replays twice over all orbits.
        var runs = new List<Rehearsal>();
        for (var i = 0; i < Rehearsals.Kept / 2; i++) runs.Add(await rehearsals.StartAsync(rules[i % rules.Count], new(), i % 2 == 0 ? Ada : Lea));
        rehearsals.Cancel(runs[^1].Id);
        await mission.TakeAsync(PacketsOf(4.5, 8));
        await mission.DrainAsync();
        await Task.WhenAll(runs.Select(r => r.Ended));
        Assert.All(runs[..^1], r => Assert.Equal(("done", null, 1.0), (r.State, r.Failure, r.Share)));
        Assert.Equal("cancelled", runs[^1].State);
        Assert.Null(runs[^1].Report);
        Assert.Equal(["ada", "lea"], runs.Select(r => r.By).Distinct());
        // What was rehearsed meanwhile is of the orbits that there were; a new one sees the new.
        var newest = mission.Stores.Orbits.Last!.Value;
        Assert.All(runs[..^1], r => Assert.True(r.Report!.LastOrbit < newest));
        Assert.Equal(newest, (await DoneAsync(rehearsals, rules[0], new())).LastOrbit);
        Assert.Equal(runs.Count + 1, mission.Stores.Record.List(new RecordFilter { What = RecordKinds.RulesRehearse }, 100).Items.Count);
    }

    private static Rehearsals Of(TestMission mission) => new(mission.Stores, mission.Engine, mission.Changes, TimeProvider.System, NullLogger<Rehearsals>.Instance);

    private static async Task<RehearsalReport> DoneAsync(Rehearsals rehearsals, RuleDeclaration rule, RehearsalStretch stretch)
    {
        var run = await rehearsals.StartAsync(rule, stretch, Ada);
        await run.Ended;
        Assert.Equal(("done", null), (run.State, run.Failure));
        return run.Report!;
    }
}
