using Microsoft.Extensions.Logging.Abstractions;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Pipeline.Thresholds;
using Phasekeeper.Storage;
using static Phasekeeper.Pipeline.Tests.Coefficients.ShortCampaign;

namespace Phasekeeper.Pipeline.Tests.Thresholds;

/// <summary>Rules rehearsed, proposed and decided about on a short campaign: two gaps in the data, one real, one that the team did not want to hear of.</summary>
public class RuleDeskTests
{
    private const string Rule = "data-gap";

    [Fact]
    public async Task A_rule_is_rehearsed_proposed_and_approved_and_judges_from_its_orbit_on()
    {
        using var mission = await TestMission.StartAsync(Generator);
        using var desk = new Desks(mission);
        // Gaps show where they part the packets of two hours.
        var a = Enumerable.Range(mission.OrbitAt(4), 10).First(o => HourIn(mission, o, 0.6) is not null);
        var (hourA, hourB, hourC) = (HourIn(mission, a, 0.6)!.Value, HourIn(mission, a + 3, 0.2)!.Value, HourIn(mission, a + 8, 0.2)!.Value);
        // 40 and 12 minutes without a packet.
        await mission.TakeAsync(PacketsOf(hourA - 3, hourA - (33 / 60.0)));
        await mission.TakeAsync(PacketsOf(hourA + (7 / 60.0), hourB - (6 / 60.0)));
        await mission.TakeAsync(PacketsOf(hourB + (6 / 60.0), End(mission, a + 6)));
        await mission.DrainAsync();
        var (first, second) = (Flag(mission, a), Flag(mission, a + 3));

        // What the assessment stored is what a replay gives, for every rule.
        foreach (var rule in mission.Engine.Mission!.Rules.Enabled)
        {
            var (stored, replayed) = (Stored(mission, rule.Id), Rehearser.Replay(mission.Stores, mission.Engine.Mission, rule, mission.Stores.Orbits.First!.Value, mission.Stores.Orbits.Last!.Value, null, default));
            Assert.Equal(stored.Select(f => f.Id), replayed.Select(f => f.Id));
            Assert.All(stored.Zip(replayed), pair => Assert.True(pair.First.SameAs(pair.Second), $"{pair.First} is not {pair.Second}"));
        }

        var steps = new FlagSteps(mission.Stores, mission.Changes, TimeProvider.System);
        var team = new FlagTeam([new("ada", true)], FlagCauses.Default);
        await steps.TakeAsync(new(first.Id, null), new(LifeStepKind.Settle, "the station was down", "data system"), Ada, team);
        await steps.TakeAsync(new(second.Id, null), new(LifeStepKind.Settle, "nobody needs these minutes", FlagCauses.RuleTooTight), Ada, team);

        // A limit above both misses the event; the one between finds it without the false flag; an event that nobody flagged is missed by all.
        var high = await desk.RehearseAsync(Declared(mission, 3000, 4000));
        Assert.Equal((0, 1, 0, 0), (high.WouldCounts.Found, high.WouldCounts.Missed, high.WouldCounts.True, high.WouldCounts.False));
        Assert.Equal((1, 0, 1, 1), (high.InForceCounts.Found, high.InForceCounts.Missed, high.InForceCounts.True, high.InForceCounts.False));
        Assert.Equal((high.InForceCounts.Found, high.InForceCounts.True, high.InForceCounts.False), (high.DidCounts.Found, high.DidCounts.True, high.DidCounts.False));
        Assert.Equal(["noticeLimit", "warningLimit"], high.Differences.Select(d => d.What));
        var slot = mission.Engine.Mission.Orbits.Of(a + 1)!.Value;
        var known = await desk.Events.NoteAsync(new(Rule, slot.Start.AddSeconds(600), slot.Start.AddSeconds(900), "a pause that was told by voice", null), Ada);
        var run = await desk.RunAsync(Declared(mission, 1000, 1800));
        Assert.Equal((1, 1, 1, 0), (run.Report!.WouldCounts.Found, run.Report.WouldCounts.Missed, run.Report.WouldCounts.True, run.Report.WouldCounts.False));
        Assert.Equal([true, false, false], run.Report.Events.OrderBy(e => e.FirstOrbit).Select(e => e.FoundByProposed));
        await desk.Events.WithdrawAsync(known, "it was another day", Ada);
        Assert.Equal(1, (await desk.RehearseAsync(Declared(mission, 1000, 1800))).WouldCounts.Found);

        // Proposed with what was seen; its proposer does not decide, in whichever role.
        var proposal = await desk.Rules.ProposeAsync(run.Id, "short gaps are no matter", Ada);
        Assert.Equal(RefusalKind.Forbidden, (await Refused(() => desk.Rules.ApproveAsync(proposal, new() { Reason = "mine" }, Ada with { Role = Roles.CalibrationLead }))).Kind);
        Assert.Equal(RefusalKind.Forbidden, (await Refused(() => desk.Rules.ApproveAsync(proposal, new() { Reason = "x" }, Ada with { Name = "bob" }))).Kind);
        var evidence = mission.Stores.Rules.Get(proposal)!.Evidence!.Value;
        Assert.Equal(RefusalKind.Conflict, (await Refused(() => desk.Rules.ApproveAsync(proposal, new() { Reason = "x", Evidence = evidence + 1 }, Lea))).Kind);
        Assert.Equal(1, RehearsalReport.Read(mission.Stores.Rules.Evidence(evidence)!.Document).WouldCounts.Found);
        Assert.Equal(2, await desk.Rules.ApproveAsync(proposal, new() { Reason = "agreed", Evidence = evidence }, Lea));
        Assert.Equal(RefusalKind.Conflict, (await Refused(() => desk.Rules.DeclineAsync(proposal, "no", Leo))).Kind);

        // From then on: no flag of twelve minutes; what was is as it was, with the version that raised it.
        await mission.DrainAsync();
        Assert.Equal([(a, "1"), (a + 3, "1")], Standing(mission).Select(f => (f.FirstOrbit, f.RuleVersion[..1])));
        await mission.TakeAsync(PacketsOf(End(mission, a + 6), hourC - (6 / 60.0)));
        await mission.TakeAsync(PacketsOf(hourC + (6 / 60.0), End(mission, a + 11)));
        await mission.DrainAsync();
        Assert.Equal([a, a + 3], Standing(mission).Select(f => f.FirstOrbit));
        Assert.Equal("settled", mission.Stores.Flags.Get(second.Id)!.State);

        // Late data are judged by the version of their orbits: part of the first gap is filled, and what is left still is a flag of version 1.
        await mission.TakeAsync(PacketsOf(hourA - (33 / 60.0), hourA - (3 / 60.0)));
        await mission.DrainAsync();
        Assert.Equal([(a, "1"), (a + 3, "1")], Standing(mission).Select(f => (f.FirstOrbit, f.RuleVersion[..1])));
        Assert.True(Standing(mission)[0].Value < 1000);

        // Back again for all from the second gap on: the version before is proposed anew, and only orbits from there are judged by it.
        var back = await desk.RunAsync(Declared(mission, 300, 1800));
        var again = await desk.Rules.ProposeAsync(back.Id, "they are, after all", Ada);
        Assert.Equal(RefusalKind.Conflict, (await Refused(() => desk.Rules.ApproveAsync(again, new() { Reason = "x", FromOrbit = a + 3 }, Lea))).Kind);
        await desk.Rules.ApproveAsync(again, new() { Reason = "agreed", FromOrbit = a + 8 }, Lea);
        await mission.DrainAsync();
        Assert.Equal([(a, "1"), (a + 3, "1"), (a + 8, "3")], Standing(mission).Select(f => (f.FirstOrbit, f.RuleVersion[..1])));
        var kinds = mission.Stores.Record.List(new RecordFilter(), 100).Items.Select(e => e.What).ToList();
        Assert.Contains(RecordKinds.RulesPropose, kinds);
        Assert.Contains(RecordKinds.RulesApprove, kinds);
        Assert.Contains(RecordKinds.RulesRehearse, kinds);
        Assert.Contains(RecordKinds.EventNote, kinds);
        Assert.Contains(RecordKinds.EventWithdraw, kinds);
    }

    [Fact]
    public async Task Two_proposals_about_two_rules_do_not_hinder_each_other_and_two_about_one_do()
    {
        using var mission = await TestMission.StartAsync(Generator);
        using var desk = new Desks(mission);
        var gap = (await desk.RunAsync(Declared(mission, 1000, 1800))).Id;
        var other = (await desk.RunAsync(Declared(mission, 2000, 2800))).Id;
        var late = mission.Engine.Mission!.Rules.Find("late-data")!;
        var latest = (await desk.RunAsync(late with { Enabled = false })).Id;
        var (p1, p2, p3) = (await desk.Rules.ProposeAsync(gap, "a", Ada), await desk.Rules.ProposeAsync(other, "b", Ada), await desk.Rules.ProposeAsync(latest, "c", Ada));
        Assert.Equal(2, await desk.Rules.ApproveAsync(p1, new() { Reason = "x" }, Lea));
        Assert.Equal(3, await desk.Rules.ApproveAsync(p3, new() { Reason = "x" }, Lea));
        Assert.Equal(RefusalKind.Conflict, (await Refused(() => desk.Rules.ApproveAsync(p2, new() { Reason = "x" }, Lea))).Kind);
        Assert.Equal(4, await desk.Rules.ApproveAsync(p2, new() { Reason = "seen", InPlaceOf = 3 }, Lea));
        await mission.DrainAsync();
        Assert.Equal((2000.0, 3, false), (mission.Engine.Mission!.Rules.Find(Rule)!["noticeLimit"], mission.Engine.Mission.Rules.Find(Rule)!.Version, mission.Engine.Mission.Rules.Find("late-data")!.Enabled));
        Assert.Equal(RefusalKind.Conflict, (await Refused(() => desk.Rules.ProposeAsync(other, "as it is", Ada))).Kind);
        Assert.Equal(RefusalKind.Missing, (await Refused(() => desk.Rules.ProposeAsync(999, "x", Ada))).Kind);
    }

    [Fact]
    public async Task Of_two_decisions_at_once_one_stands_and_a_proposer_can_withdraw()
    {
        using var mission = await TestMission.StartAsync(Generator);
        using var desk = new Desks(mission);
        var run = (await desk.RunAsync(Declared(mission, 1000, 1800))).Id;
        var (p1, p2) = (await desk.Rules.ProposeAsync(run, "a", Ada), await desk.Rules.ProposeAsync(run, "b", Ada));
        var tries = new Task[] { desk.Rules.ApproveAsync(p1, new() { Reason = "x" }, Lea), desk.Rules.DeclineAsync(p1, "no", Leo) };
        await Task.WhenAll(tries).ContinueWith(_ => { }, TaskScheduler.Default);
        Assert.Equal(1, tries.Count(t => t.IsCompletedSuccessfully));
        Assert.Equal(RefusalKind.Forbidden, (await Refused(() => desk.Rules.WithdrawAsync(p2, "not yours", Lea))).Kind);
        await desk.Rules.WithdrawAsync(p2, "a slip", Ada);
        Assert.Equal(RuleWords.Withdrawn, mission.Stores.Rules.Get(p2)!.State);
    }

    [Fact]
    public async Task A_rules_file_that_differs_at_a_later_start_waits_as_a_proposal_once()
    {
        using var mission = await TestMission.StartAsync(Generator);
        Assert.Equal(("profile", null), (mission.Stores.Rules.Versions().Single().Actor, mission.Stores.Rules.Versions().Single().FromOrbit));
        mission.ChangeRules(r => r with { Rules = [.. r.Rules.Select(x => x.Id == Rule ? Declared(mission, 1000, 1800) : x)] });
        await mission.RestartAsync();
        await mission.RestartAsync();
        var proposal = Assert.Single(mission.Stores.Rules.Proposals(), p => p.State == RuleWords.Proposed);
        Assert.Equal((RuleWords.Profile, null, 1L), (proposal.Source, proposal.Rule, proposal.Against));
        Assert.Equal(300, mission.Engine.Mission!.Rules.Find(Rule)!["noticeLimit"]);
        Assert.Contains(mission.Engine.ProfileDifferences, d => d.Contains("rules file", StringComparison.Ordinal));
        using var desk = new Desks(mission);
        await desk.Rules.ApproveAsync(proposal.Id, new() { Reason = "as in the file" }, Lea);
        await mission.DrainAsync();
        Assert.Equal(1000, mission.Engine.Mission!.Rules.Find(Rule)!["noticeLimit"]);
        await mission.RestartAsync();
        Assert.Empty(mission.Engine.ProfileDifferences);
    }

    [Fact]
    public async Task A_rehearsal_against_an_older_version_of_the_rule_is_not_proposed_unseen()
    {
        using var mission = await TestMission.StartAsync(Generator);
        using var desk = new Desks(mission);
        // Two people start from version 1: one moves the notice limit, the other the warning limit.
        var notice = (await desk.RunAsync(Declared(mission, 1000, 1800))).Id;
        var warning = (await desk.RunAsync(Declared(mission, 300, 2800))).Id;
        await desk.Rules.ApproveAsync(await desk.Rules.ProposeAsync(notice, "a", Ada), new() { Reason = "x" }, Lea);
        await mission.DrainAsync();
        // The second one's rehearsal compares with version 1 and would take the first one's change back; nobody told her.
        Assert.Equal(RefusalKind.Conflict, (await Refused(async () =>
        {
            var p = await desk.Rules.ProposeAsync(warning, "b", Ada);
            await desk.Rules.ApproveAsync(p, new() { Reason = "x" }, Lea);
        })).Kind);
    }

    private static RuleDeclaration Declared(TestMission mission, double notice, double warning)
    {
        var rule = mission.Engine.Mission!.Rules.Find(Rule)!;
        return rule with { Parameters = new SortedDictionary<string, double>(rule.Parameters.ToDictionary(), StringComparer.Ordinal) { ["noticeLimit"] = notice, ["warningLimit"] = warning } };
    }

    // A full hour of the campaign within an orbit, so far from its start and 0.2 h from its end.
    private static double? HourIn(TestMission mission, int orbit, double fromStart)
    {
        var hour = Math.Ceiling(Hours(mission, orbit, 0) + fromStart);
        return hour <= Hours(mission, orbit, 1) - 0.2 ? hour : null;
    }

    private static double End(TestMission mission, int orbit) => Hours(mission, orbit, 1);

    private static double Hours(TestMission mission, int orbit, double share)
    {
        var slot = mission.Engine.Mission!.Orbits.Of(orbit)!.Value;
        return (slot.Start.AddSeconds(share * (slot.End - slot.Start)) - Start) / 3600;
    }

    private static IReadOnlyList<Flag> Stored(TestMission mission, string rule) => [.. mission.Stores.Flags.OfRule(rule, int.MinValue, int.MaxValue).Select(FlagJson.Read).Where(f => f.Stands).OrderBy(f => f.FirstOrbit).ThenBy(f => f.Id, StringComparer.Ordinal)];

    private static IReadOnlyList<Flag> Standing(TestMission mission) => Stored(mission, Rule);

    private static Flag Flag(TestMission mission, int orbit) => Assert.Single(Standing(mission), f => f.FirstOrbit == orbit);

    private static Task<DecisionRefusedException> Refused(Func<Task> step) => Assert.ThrowsAsync<DecisionRefusedException>(step);

    private sealed class Desks : IDisposable
    {
        private readonly Rehearsals rehearsals;

        public Desks(TestMission mission)
        {
            rehearsals = new(mission.Stores, mission.Engine, mission.Changes, TimeProvider.System, NullLogger<Rehearsals>.Instance);
            Rules = new(mission.Stores, mission.Engine, rehearsals, mission.Changes, TimeProvider.System);
            Events = new(mission.Stores, mission.Engine, mission.Changes, TimeProvider.System);
        }

        public RuleDesk Rules { get; }
        public KnownEvents Events { get; }

        public async Task<Rehearsal> RunAsync(RuleDeclaration rule)
        {
            var run = await rehearsals.StartAsync(rule, new(), Ada);
            await run.Ended;
            Assert.Equal(("done", null), (run.State, run.Failure));
            return run;
        }

        public async Task<RehearsalReport> RehearseAsync(RuleDeclaration rule) => (await RunAsync(rule)).Report!;

        public void Dispose() => rehearsals.Dispose();
    }
}
