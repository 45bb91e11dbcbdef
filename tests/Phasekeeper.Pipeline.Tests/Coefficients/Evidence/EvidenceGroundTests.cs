using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients.Trials;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Storage;
using static Phasekeeper.Pipeline.Tests.Coefficients.ShortCampaign;

namespace Phasekeeper.Pipeline.Tests.Coefficients.Evidence;

/// <summary>Evidence says what it rests on: what moves that is told, asks for new evidence, and refuses a decision that has not seen it.</summary>
[Collection(DriftedCampaign.Collection)]
public class EvidenceGroundTests(DriftedCampaign campaign)
{
    [Fact]
    public async Task Late_data_move_the_ground_refuse_a_decision_that_has_not_seen_it_and_are_computed_once_all_is_through()
    {
        using var mission = await campaign.OpenAsync();
        using var programs = new CoefficientPrograms(mission);
        var id = await ProposeAsync(mission, "moved", 24);
        Assert.True(await programs.Worker.StepAsync(CancellationToken.None));
        var first = mission.Desk.GroundOf(id)!;
        Assert.Equal((false, false, ""), (first.Move.HasMoved, first.Move.AsksForMore, first.Move.Words));
        Assert.InRange(first.Move.LookedAt, 30, EvidenceOrbits.ByHandOrbits);
        var shown = mission.Stores.Coefficients.NewestEvidence(id)!.Id;

        // Scenes that had not come: two minutes of one orbit.
        await mission.TakeAsync(PacketsOf(25, 25.03));
        Assert.False(await programs.Worker.StepAsync(CancellationToken.None));
        await mission.DrainAsync();
        var moved = mission.Desk.GroundOf(id)!.Move;
        Assert.True(moved.HasMoved);
        Assert.Contains(mission.OrbitAt(25), moved.Changed);
        // Two orbits to either side use its lamps, and what follows its temperatures for as long as the lag is searched.
        Assert.InRange(moved.Changed.Count, 5, 11);
        Assert.Contains($"changed {moved.Changed.Count} of the {first.Move.LookedAt} orbits", moved.Words, StringComparison.Ordinal);
        // Not at once again, but after a while by itself; and until then a decision has to have seen it.
        Assert.False(await programs.Worker.StepAsync(CancellationToken.None));
        DecisionRequest Request(string? ground) => new() { Reason = "better", Evidence = shown, Ground = ground };
        foreach (var ground in new[] { first.Move.Now, null })
        {
            var refused = await Assert.ThrowsAsync<DecisionRefusedException>(() => mission.Desk.ApproveAsync(id, Request(ground), Lea));
            Assert.Equal(RefusalKind.Conflict, refused.Kind);
            Assert.Contains("has moved since", refused.Message, StringComparison.Ordinal);
            Assert.Contains(moved.Words, refused.Message, StringComparison.Ordinal);
        }
        Assert.Equal(CoefficientDecision.Proposed, mission.Stores.Coefficients.Head(id)!.State);
        programs.Worker.WaitS = 0;
        Assert.True(await programs.Worker.StepAsync(CancellationToken.None));
        Assert.False(await programs.Worker.StepAsync(CancellationToken.None));
        var again = mission.Desk.GroundOf(id)!.Move;
        Assert.Equal((false, moved.Now), (again.HasMoved, again.Now));
        Assert.Equal(2, mission.EvidenceOf(id).Count);
        // The former evidence is not the newest any more; the newest is what the decision names.
        Assert.Contains("computed again", (await Assert.ThrowsAsync<DecisionRefusedException>(() => mission.Desk.ApproveAsync(id, Request(moved.Now), Lea))).Message, StringComparison.Ordinal);
        var newest = mission.Stores.Coefficients.NewestEvidence(id)!.Id;
        await mission.Desk.ApproveAsync(id, Request(null) with { Evidence = newest }, Lea);
        Assert.Equal(newest, mission.Stores.Coefficients.Decisions(id).Single().Evidence);
    }

    [Fact]
    public async Task A_moved_ground_that_the_lead_has_seen_is_no_refusal_and_a_restart_finds_it_by_itself()
    {
        using var mission = await campaign.OpenAsync();
        using var programs = new CoefficientPrograms(mission);
        var (a, b) = (await ProposeAsync(mission, "a", 24), await ProposeAsync(mission, "b", 40));
        Assert.True(await programs.Worker.StepAsync(CancellationToken.None));
        Assert.True(await programs.Worker.StepAsync(CancellationToken.None));
        await mission.TakeAsync(PacketsOf(25, 25.03));
        await mission.DrainAsync();
        await mission.RestartAsync();
        using var restarted = new CoefficientPrograms(mission);
        restarted.Worker.WaitS = 0;
        var seen = mission.Desk.GroundOf(a)!.Move;
        await mission.Desk.ApproveAsync(a, new() { Reason = "three orbits more change nothing", Evidence = mission.Stores.Coefficients.NewestEvidence(a)!.Id, Ground = seen.Now, FromOrbit = mission.OrbitAt(52) }, Lea);
        // What is decided keeps its evidence; the other one is computed again, once nothing else is to be done.
        Assert.False(await restarted.Worker.StepAsync(CancellationToken.None));
        await mission.DrainAsync();
        Assert.True(await restarted.Worker.StepAsync(CancellationToken.None));
        Assert.False(await restarted.Worker.StepAsync(CancellationToken.None));
        Assert.Equal((1, 2), (mission.EvidenceOf(a).Count, mission.EvidenceOf(b).Count));
    }

    [Fact]
    public async Task Evidence_for_another_start_is_computed_on_asking_stays_and_its_outlook_is_what_approving_makes_again()
    {
        using var mission = await campaign.OpenAsync();
        using var programs = new CoefficientPrograms(mission);
        var id = await ProposeAsync(mission, "later", 10);
        Assert.True(await programs.Worker.StepAsync(CancellationToken.None));
        var own = EvidenceJson.Read(mission.Stores.Coefficients.NewestEvidence(id)!.Document)!;
        Assert.Null(own.Ground!.ChosenOrbit);
        Assert.Equal(mission.OrbitAt(10), own.Ground.Orbit);
        var start = mission.OrbitAt(50);
        Assert.Contains("is valid from", (await Assert.ThrowsAsync<DecisionRefusedException>(() => programs.Evidence.AskAsync(id, Ada, new(mission.OrbitAt(5))))).Message, StringComparison.Ordinal);
        await programs.Evidence.AskAsync(id, Ada, new(start));
        Assert.Contains($"\"fromOrbit\":{start}", mission.Stores.Record.List(new RecordFilter(), 1).Items[0].After!, StringComparison.Ordinal);
        Assert.True(await programs.Worker.StepAsync(CancellationToken.None));
        // It is not taken back to the set's own start by itself.
        Assert.False(await programs.Worker.StepAsync(CancellationToken.None));
        var newest = mission.Stores.Coefficients.NewestEvidence(id)!;
        var evidence = EvidenceJson.Read(newest.Document)!;
        Assert.Equal((start, start, 1L), (evidence.Ground!.ChosenOrbit, evidence.Ground.Orbit, evidence.Ground.Against));
        // Asked for without a start it stays there, and the set's own start can be asked for.
        await programs.Evidence.AskAsync(id, Ada);
        Assert.True(await programs.Worker.StepAsync(CancellationToken.None));
        Assert.Equal(start, mission.Desk.GroundOf(id)!.Ground.Orbit);

        var outlook = mission.Desk.Again(id, new() { FromOrbit = start });
        Assert.True(mission.Desk.Again(id, new()).Orbits > outlook.Orbits);
        Assert.Equal(outlook.Orbits, evidence.Reprocessing.Orbits);
        Assert.Contains("No orbit was ever made again here", outlook.Basis, StringComparison.Ordinal);
        Assert.Equal(outlook.SecondsAnOrbit * outlook.Orbits, outlook.EstimatedS, 6);
        await mission.Desk.ApproveAsync(id, new() { Reason = "from here on", FromOrbit = start, Evidence = mission.Stores.Coefficients.NewestEvidence(id)!.Id }, Lea);
        await mission.DrainAsync();
        var made = mission.Stores.Reprocessing.All().Single();
        Assert.Equal((made.FirstOrbit, made.LastOrbit, made.Orbits), (outlook.FromOrbit, outlook.ToOrbit, (long)outlook.Orbits));
        // From now on by the pace of this installation, for a set that nobody computed evidence of.
        var other = await ProposeAsync(mission, "another", 45);
        var measured = mission.Desk.Again(other, new());
        Assert.Equal(made.WorkedMs / 1000.0 / made.WorkedOrbits * measured.Orbits, measured.EstimatedS, 6);
        Assert.Contains($"Measured when {made.WorkedOrbits} orbits were made again here, last for decision {made.Decision}", measured.Basis, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Late_lamps_two_orbits_on_change_the_residuals_and_move_the_ground()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(DriftedCampaign.ThinPackets(0, 6.2));
        await mission.TakeAsync(DriftedCampaign.ThinPackets(7.6, 9));
        await mission.DrainAsync();
        var number = mission.OrbitAt(3.2);
        var orbit = mission.Engine.Mission!.Orbits.Of(number)!.Value;
        string[] Residuals()
        {
            var trial = new SetTrial(mission.Stores, mission.Engine.Mission!, CoefficientSets.Stored(mission.Stores, mission.Engine.Mission!.Instrument!, 1));
            return [.. ProposalResiduals.Of(new OrbitAnalysis(trial.Input(orbit))).Select(r => $"{r.Measure} {r.View} {r.Line} {r.Points} {r.Sum:R}")];
        }
        var lookBackS = Grounds.LookBackS(mission.Folder.GroundSet!);
        var (ground, was) = (Grounds.Of([orbit], orbit.Start, number, 1, lookBackS, mission.Engine.Mission!, mission.Stores), Residuals());
        Assert.False(Grounds.Since(ground, [orbit], mission.Engine.Mission!, mission.Stores).HasMoved);
        await mission.TakeAsync(DriftedCampaign.ThinPackets(6.2, 7.6));
        await mission.DrainAsync();
        Assert.NotEqual(was, Residuals());
        Assert.Equal([number], Grounds.Since(ground, [orbit], mission.Engine.Mission!, mission.Stores).Changed);
    }

    [Fact]
    public async Task Data_that_follow_in_order_move_no_ground_and_other_activities_or_rules_do()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(DriftedCampaign.ThinPackets(0, 8.5));
        await mission.DrainAsync();
        var state = mission.Engine.Mission!;
        // Its window ends within the hour that is still being filled.
        var newest = state.Orbits.Of(state.Orbits.At(mission.Stores.Archive.LastPacketTime!.Value)!.Value.Number - OrbitInput.ReachOrbits - 1)!.Value;
        var ground = Grounds.Of([newest], newest.Start, newest.Number, 1, Grounds.LookBackS(mission.Folder.GroundSet!), state, mission.Stores);
        await mission.TakeAsync(DriftedCampaign.ThinPackets(8.5, 10));
        await mission.DrainAsync();
        state = mission.Engine.Mission!;
        Assert.False(Grounds.Since(ground, [newest], state, mission.Stores).HasMoved);
        Core.Activities.PlannedActivity Activity(Core.Time.Instant from) => new("a", Core.Activities.ActivityKinds.BakeOut, "Bake-out", from, from.AddSeconds(60));
        Assert.True(Grounds.Since(ground, [newest], state with { Activities = [.. state.Activities, Activity(newest.Start)] }, mission.Stores).HasMoved);
        Assert.False(Grounds.Since(ground, [newest], state with { Activities = [.. state.Activities, Activity(newest.End.AddSeconds(86400))] }, mission.Stores).HasMoved);
        var rules = Grounds.Since(ground, [newest], state with { RuleVersions = Core.Flags.RuleTimeline.Of(state.Rules with { Rules = [.. state.Rules.Rules.Skip(1)] }) }, mission.Stores);
        Assert.Equal((true, true, "other flag rules are in force"), (rules.HasMoved, rules.OtherRules, rules.Words));
    }

    private static Task<long> ProposeAsync(TestMission mission, string name, double hours) => mission.Desk.ProposeAsync(new()
    {
        Set = Other(mission, name, 1 / DriftedCampaign.WrongBy + hours / 1e6) with { ValidFrom = mission.Engine.Mission!.Orbits.Of(mission.OrbitAt(hours))!.Value.Start },
        Reason = "a test",
        Source = CoefficientSource.ByHand,
    }, Ada);
}
