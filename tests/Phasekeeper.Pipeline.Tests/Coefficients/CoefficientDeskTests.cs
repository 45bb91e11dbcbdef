using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Storage;
using static Phasekeeper.Pipeline.Tests.Coefficients.ShortCampaign;

namespace Phasekeeper.Pipeline.Tests.Coefficients;

/// <summary>Who may propose and decide, what a decision puts in force, and what happens when two come at once.</summary>
public class CoefficientDeskTests
{
    [Fact]
    public async Task A_proposal_carries_its_provenance_and_an_approval_puts_it_in_force_from_its_node()
    {
        using var mission = await TestMission.StartAsync(Generator);
        var id = await mission.ProposeAsync("warmer", 1.1);
        var row = mission.Stores.Coefficients.Get(id)!;
        Assert.Equal(("ada", Roles.Analyst, "127.0.0.1", CoefficientSource.ByHand, 1L, SoftwareVersion.Current), (row.ProposedBy, row.ProposedRole, row.ProposedFrom, row.Source, row.Against, row.SoftwareVersion));

        var orbit = mission.OrbitAt(3);
        var outcome = await mission.Desk.ApproveAsync(id, new() { Reason = "better", FromOrbit = orbit }, Lea);
        await mission.DrainAsync();
        Assert.Equal((orbit, (long?)1, null), (outcome.Orbit, outcome.InPlaceOf, outcome.To));
        var timeline = mission.Engine.Mission!.Coefficients;
        Assert.Equal([1, id], timeline.Entries.Select(e => e.SetId));
        Assert.Equal(mission.Engine.Mission.Orbits.Of(orbit)!.Value.Start, timeline.Entries[1].From);
        var decision = mission.Stores.Coefficients.Decisions(id).Single();
        Assert.Equal(("lea", Roles.CalibrationLead, "better", SoftwareVersion.Current), (decision.Actor, decision.Role, decision.Note, decision.SoftwareVersion));
        Assert.Equal([RecordKinds.CoefficientsApprove, RecordKinds.CoefficientsPropose], mission.Stores.Record.List(new RecordFilter(), 2).Items.Select(e => e.What));
    }

    [Fact]
    public async Task A_time_counts_from_the_first_ascending_node_at_or_after_it()
    {
        using var mission = await TestMission.StartAsync(Generator);
        var id = await mission.ProposeAsync("warmer", 1.1);
        var slot = mission.Engine.Mission!.Orbits.Of(mission.OrbitAt(3))!.Value;
        Assert.Equal(slot.Number, mission.Desk.Outlook(id, new() { From = slot.Start }).Orbit);
        Assert.Equal(slot.Number + 1, mission.Desk.Outlook(id, new() { From = slot.Start.AddSeconds(1) }).Orbit);
        // Beyond every orbit file no node is known yet.
        var far = Start.AddSeconds(3000 * 86400.0);
        Assert.Equal(new DecisionOutcome(far, null, 1, null), mission.Desk.Outlook(id, new() { From = far }));
        Assert.Equal(RefusalKind.Invalid, Assert.Throws<DecisionRefusedException>(() => mission.Desk.Outlook(id, new() { FromOrbit = 999_999 })).Kind);
    }

    [Fact]
    public async Task A_set_whose_start_lies_between_others_ends_where_the_next_begins_or_replaces_it_when_told_so()
    {
        using var mission = await TestMission.StartAsync(Generator);
        var (a, b, c) = (await mission.ProposeAsync("a", 1.1), await mission.ProposeAsync("b", 1.2), await mission.ProposeAsync("c", 1.3));
        var first = mission.OrbitAt(3);
        await mission.ApproveAsync(a, first + 4);
        Assert.Equal(mission.Engine.Mission!.Orbits.Of(first + 4)!.Value.Start, (await mission.ApproveAsync(b, first)).To);
        await mission.DrainAsync();
        Assert.Equal([1, b, a], mission.Engine.Mission!.Coefficients.Entries.Select(e => e.SetId));
        await mission.Desk.ApproveAsync(c, new() { Reason = "over all", FromOrbit = first + 2, InPlaceOf = b, OverLater = true }, Lea);
        await mission.DrainAsync();
        Assert.Equal([1, b, c], mission.Engine.Mission!.Coefficients.Entries.Select(e => e.SetId));
    }

    [Fact]
    public async Task Going_back_is_a_new_entry_that_begins_where_the_set_in_force_began()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(PacketsOf(0, 0.1));
        var orbit = mission.OrbitAt(0) - 1;
        var id = await mission.ProposeAsync("warmer", 1.1);
        await mission.ApproveAsync(id, orbit);
        await mission.DrainAsync();
        var outcome = await mission.Desk.ReinstateAsync(1, new() { Reason = "it was no better", InPlaceOf = id }, Leo);
        await mission.DrainAsync();
        Assert.Equal((orbit, (long?)id), (outcome.Orbit, outcome.InPlaceOf));
        Assert.Equal([1, 1], mission.Engine.Mission!.Coefficients.Entries.Select(e => e.SetId));
        Assert.Equal(3, mission.Stores.Coefficients.Decisions().Count);
        Assert.Contains("already", (await Assert.ThrowsAsync<DecisionRefusedException>(() => mission.Desk.ReinstateAsync(1, new() { Reason = "again" }, Leo))).Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Nobody_but_another_calibration_lead_decides()
    {
        using var mission = await TestMission.StartAsync(Generator);
        var byLead = await mission.Desk.ProposeAsync(new() { Set = Other(mission, "own", 1.1), Reason = "a test", Source = CoefficientSource.ByHand }, Lea);
        var request = new DecisionRequest { Reason = "mine" };
        foreach (var actor in new[] { Lea, Lea with { Name = " LEA " }, Ada, new Actor("bootstrap", Roles.Administrator, "127.0.0.1"), new Actor("op", Roles.Operator, null), Actor.System })
        {
            Assert.Equal(RefusalKind.Forbidden, (await Assert.ThrowsAsync<DecisionRefusedException>(() => mission.Desk.ApproveAsync(byLead, request, actor))).Kind);
            Assert.Equal(RefusalKind.Forbidden, (await Assert.ThrowsAsync<DecisionRefusedException>(() => mission.Desk.DeclineAsync(byLead, "no", null, actor))).Kind);
        }
        Assert.Equal(RefusalKind.Forbidden, (await Assert.ThrowsAsync<DecisionRefusedException>(() => mission.Desk.ProposeAsync(new() { Set = Other(mission, "x", 1.2), Reason = "r", Source = CoefficientSource.ByHand }, new("vi", Roles.Viewer, null)))).Kind);
        Assert.Equal(CoefficientDecision.Proposed, mission.Stores.Coefficients.Get(byLead)!.State);
        await mission.Desk.ApproveAsync(byLead, request, Leo);
    }

    [Fact]
    public async Task Of_two_decisions_at_once_about_one_proposal_one_counts_and_the_proposers_never_does()
    {
        using var mission = await TestMission.StartAsync(Generator);
        for (var round = 0; round < 5; round++)
        {
            var id = await mission.Desk.ProposeAsync(new() { Set = Other(mission, $"round {round}", 1.1 + round / 100.0), Reason = "a test", Source = CoefficientSource.ByHand }, Lea);
            var request = new DecisionRequest { Reason = "at once", InPlaceOf = mission.Desk.Outlook(id, new()).InPlaceOf };
            var third = new Actor("lin", Roles.CalibrationLead, null);
            var tries = new[] { Leo, third, Lea, Lea }.Select(a => Task.Run(() => mission.Desk.ApproveAsync(id, request, a))).ToArray();
            var outcomes = await Task.WhenAll(tries.Select(t => t.ContinueWith(done => done.IsCompletedSuccessfully, TaskScheduler.Default)));
            Assert.Single(outcomes, true);
            Assert.False(outcomes[2] || outcomes[3]);
            Assert.Single(mission.Stores.Coefficients.Decisions(id));
        }
    }

    [Fact]
    public async Task Of_two_proposals_approved_at_once_the_second_is_told_that_its_ground_has_gone()
    {
        using var mission = await TestMission.StartAsync(Generator);
        var (a, b) = (await mission.ProposeAsync("a", 1.1), await mission.ProposeAsync("b", 1.2));
        var orbit = mission.OrbitAt(3);
        var request = new DecisionRequest { Reason = "at once", FromOrbit = orbit };
        var tries = new[] { (a, Lea), (b, Leo) }.Select(x => Task.Run(() => mission.Desk.ApproveAsync(x.Item1, request, x.Item2))).ToArray();
        await Task.WhenAll(tries.Select(t => t.ContinueWith(_ => 0, TaskScheduler.Default)));
        var refused = Assert.Single(tries, t => t.IsFaulted);
        Assert.Equal(RefusalKind.Conflict, Assert.IsType<DecisionRefusedException>(refused.Exception!.InnerException).Kind);

        // The lead has looked at what is in force now, and names it.
        var (winner, loser) = tries[0].IsFaulted ? (b, a) : (a, b);
        await mission.Desk.ApproveAsync(loser, request with { InPlaceOf = winner }, Lea);
        // Evidence against the set in force does the same.
        var c = await mission.ProposeAsync("c", 1.3);
        var seen = await mission.Desk.AddEvidenceAsync(c, loser, "{}");
        await mission.Desk.ApproveAsync(c, request with { Evidence = seen }, Leo);
        await mission.DrainAsync();
        Assert.Equal([1, c], mission.Engine.Mission!.Coefficients.Entries.Select(e => e.SetId));
    }

    [Fact]
    public async Task A_decision_on_evidence_that_was_computed_again_since_is_refused()
    {
        using var mission = await TestMission.StartAsync(Generator);
        var id = await mission.ProposeAsync("a", 1.1);
        var seen = await mission.Desk.AddEvidenceAsync(id, 1, "{}");
        var newer = await mission.Desk.AddEvidenceAsync(id, 1, "{}");
        var request = new DecisionRequest { Reason = "as I saw it", FromOrbit = mission.OrbitAt(3), Evidence = seen };
        var refused = await Assert.ThrowsAsync<DecisionRefusedException>(() => mission.Desk.ApproveAsync(id, request, Lea));
        Assert.Equal(RefusalKind.Conflict, refused.Kind);
        Assert.Contains($"number {newer}", refused.Message, StringComparison.Ordinal);
        await mission.Desk.ApproveAsync(id, request with { Evidence = newer }, Lea);
        Assert.Equal(newer, mission.Stores.Coefficients.Decisions()[^1].Evidence);
    }

    [Fact]
    public async Task Evidence_that_came_unseen_refuses_and_a_decision_names_what_its_decider_saw()
    {
        using var mission = await TestMission.StartAsync(Generator);
        var (a, b) = (await mission.ProposeAsync("a", 1.1), await mission.ProposeAsync("b", 1.2));
        var (ofA, ofB) = (await mission.Desk.AddEvidenceAsync(a, 1, "{}"), await mission.Desk.AddEvidenceAsync(b, 1, "{}"));
        var request = new DecisionRequest { Reason = "without evidence", FromOrbit = mission.OrbitAt(3), InPlaceOf = 1 };
        foreach (var refused in new[] { await Assert.ThrowsAsync<DecisionRefusedException>(() => mission.Desk.ApproveAsync(a, request, Lea)), await Assert.ThrowsAsync<DecisionRefusedException>(() => mission.Desk.DeclineAsync(a, "no", null, Lea)) })
        {
            Assert.Equal(RefusalKind.Conflict, refused.Kind);
            Assert.Contains($"There is evidence of 'a' (number {ofA}, ", refused.Message, StringComparison.Ordinal);
        }
        Assert.Single(mission.Stores.Coefficients.Decisions());
        await mission.Desk.ApproveAsync(a, request with { Evidence = ofA }, Lea);
        await mission.Desk.DeclineAsync(b, "no", ofB, Lea);
        Assert.Equal([null, ofA, ofB], mission.Stores.Coefficients.Decisions().Select(d => d.Evidence));
        // Nobody saw any of this one: nothing is named, also where some comes later.
        var c = await mission.ProposeAsync("c", 1.3);
        await mission.Desk.WithdrawAsync(c, "a wrong window", null, Ada);
        await mission.Desk.AddEvidenceAsync(c, 1, "{}");
        Assert.Null(mission.Stores.Coefficients.Decisions()[^1].Evidence);
    }

    [Fact]
    public async Task Going_back_over_a_decision_that_was_not_seen_is_refused_and_says_who_decided_what()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(PacketsOf(0, 0.1));
        var orbit = mission.OrbitAt(0);
        var (b, c) = (await mission.ProposeAsync("b", 1.1), await mission.ProposeAsync("c", 1.2));
        await mission.ApproveAsync(b, orbit);
        // Lea's page shows b in force and offers to go back; Leo approves c there meanwhile.
        await mission.Desk.ApproveAsync(c, new() { Reason = "it cannot wait", FromOrbit = orbit, InPlaceOf = b }, Leo);
        foreach (var seen in new long?[] { b, null })
        {
            var refused = await Assert.ThrowsAsync<DecisionRefusedException>(() => mission.Desk.ReinstateAsync(1, new() { Reason = "b is bad", FromOrbit = orbit, InPlaceOf = seen }, Lea));
            Assert.Equal(RefusalKind.Conflict, refused.Kind);
            Assert.Contains($"set {c} 'c' is in force (approved by leo on ", refused.Message, StringComparison.Ordinal);
            Assert.Contains("it cannot wait", refused.Message, StringComparison.Ordinal);
        }
        await mission.Desk.ReinstateAsync(1, new() { Reason = "neither is good", FromOrbit = orbit, InPlaceOf = c }, Lea);
    }

    [Fact]
    public async Task A_kill_between_decision_and_its_taking_up_loses_nothing()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(PacketsOf(0, 1.8));
        await mission.DrainAsync();
        var id = await mission.ProposeAsync("warmer", 1.1);
        await mission.ApproveAsync(id, mission.OrbitAt(0));
        Assert.Single(mission.Stores.Work.Peek(WorkKinds.TakeUpDecision));
        await mission.RestartAsync();
        await mission.DrainAsync();
        Assert.All(mission.SetsOfProducts(), o => Assert.Equal([o.Key >= mission.OrbitAt(0) ? id : 1], o.Value));
    }
}
