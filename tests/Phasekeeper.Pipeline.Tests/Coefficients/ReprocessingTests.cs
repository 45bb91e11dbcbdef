using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Storage;
using static Phasekeeper.Pipeline.Tests.Coefficients.ShortCampaign;

namespace Phasekeeper.Pipeline.Tests.Coefficients;

/// <summary>What a decision makes again, how that is held and goes on, and what is kept of before.</summary>
public class ReprocessingTests
{
    [Fact]
    public async Task Exactly_the_orbits_of_the_stretch_are_made_again_and_the_winds_of_before_stay_comparable()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(PacketsOf(0, 6.5));
        await mission.DrainAsync();
        var first = mission.OrbitAt(1.7);
        var before = mission.Stores.Winds.OfOrbit(first);
        var (a, b) = (await mission.ProposeAsync("later", 1.1), await mission.ProposeAsync("between", 1.05));
        await mission.ApproveAsync(a, first + 2);
        await mission.DrainAsync();
        await mission.ApproveAsync(b, first);
        await mission.DrainAsync();

        Assert.All(mission.SetsOfProducts(), o => Assert.Equal([o.Key < first ? 1 : o.Key < first + 2 ? b : a], o.Value));
        var all = mission.Stores.Reprocessing.All();
        Assert.Equal([(first + 2, 2L), (first, 2L)], all.Select(r => (r.FirstOrbit!.Value, r.Orbits)));
        Assert.All(all, r => Assert.True(r is { Finished: not null, Waiting: 0, Working: 0 } && r.Done == r.Orbits && r.WorkedOrbits == r.Orbits && r.WorkedMs > 0));

        var decision = all[1].Decision;
        var kept = mission.Stores.FormerWinds.Read(decision, first, first);
        Assert.Equal(before.Select(w => (w.Profile.Time, w.Profile.View, w.Profile.Line)), kept.Select(w => (w.Time, w.View, w.Line)));
        Assert.All(before.Zip(kept), p => Assert.Equal(p.First.Profile.Rows.Select(r => (float)r.WindMs), p.Second.Rows.Select(r => (float)r.WindMs)));
        Assert.All(kept, w => Assert.Equal(1, w.CoefficientSet));
        Assert.Equal([first, first + 1], mission.Stores.FormerWinds.Orbits(decision));

        Assert.Equal(RefusalKind.Forbidden, (await Assert.ThrowsAsync<DecisionRefusedException>(() => mission.Reprocessing.RetireAsync(decision, Ada, "no need"))).Kind);
        Assert.True(await mission.Reprocessing.RetireAsync(decision, Lea, "compared and good") > 0);
        Assert.Empty(mission.Stores.FormerWinds.Orbits(decision));
        Assert.NotEmpty(mission.Stores.FormerWinds.Orbits(all[0].Decision));
    }

    [Fact]
    public async Task Held_reprocessing_leaves_every_orbit_whole_and_goes_on_after_a_restart()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(PacketsOf(0, 4));
        await mission.DrainAsync();
        var id = await mission.ProposeAsync("warmer", 1.1);
        await mission.Reprocessing.PauseAsync(Lea, "not now");
        var first = mission.OrbitAt(0) + 1;
        await mission.ApproveAsync(id, first);
        // Data that come meanwhile: late ones for an orbit that waits, and a new orbit.
        await mission.TakeAsync(PacketsOf(4, 7));
        await mission.DrainAsync();
        await mission.RestartAsync();
        await mission.DrainAsync();
        Assert.True(mission.Stores.Reprocessing.IsPaused);
        Assert.True(mission.Stores.Work.IsEmpty);
        var held = mission.Stores.Reprocessing.All().Single();
        Assert.Equal((held.Orbits, (Instant?)null), (held.Waiting, held.Finished));
        var waiting = mission.Stores.Reprocessing.Orbits().Select(o => (int)o.Orbit).ToHashSet();
        Assert.All(mission.SetsOfProducts(), o => Assert.Equal([o.Key < first || waiting.Contains(o.Key) ? 1 : id], o.Value));
        Assert.Contains(mission.SetsOfProducts(), o => o.Value[0] == id);

        await mission.Reprocessing.ResumeAsync(Lea, "now");
        Assert.False(mission.Stores.Work.IsEmpty);
        await mission.DrainAsync();
        Assert.All(mission.SetsOfProducts(), o => Assert.Equal([o.Key < first ? 1 : id], o.Value));
    }

    [Fact]
    public async Task A_restart_in_the_middle_ends_in_the_same_bits()
    {
        var packets = PacketsOf(0, 4);
        using var whole = await TestMission.StartAsync(Generator);
        using var broken = await TestMission.StartAsync(Generator);
        foreach (var mission in new[] { whole, broken })
        {
            await mission.TakeAsync(packets);
            await mission.DrainAsync();
            await mission.ApproveAsync(await mission.ProposeAsync("warmer", 1.1), mission.OrbitAt(0));
        }
        await whole.DrainAsync();
        // Killed again and again, a few units of work apart.
        for (var steps = 3; ; steps += 2)
        {
            var more = true;
            for (var i = 0; i < steps && more; i++) more = await broken.Engine.StepAsync(CancellationToken.None);
            if (!more) break;
            await broken.RestartAsync();
        }
        Assert.NotNull(broken.Stores.Reprocessing.All().Single().Finished);
        var (expected, found) = (whole.Products(), broken.Products());
        Assert.True(expected == found, FirstDifference(expected, found));
    }

    [Fact]
    public async Task An_approval_while_a_reprocessing_runs_takes_over_what_waits()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(PacketsOf(0, 6.5));
        await mission.DrainAsync();
        var (a, b) = (await mission.ProposeAsync("a", 1.1), await mission.ProposeAsync("b", 1.2));
        var first = mission.OrbitAt(1.7);
        await mission.ApproveAsync(a, first);
        while (mission.Stores.Reprocessing.All() is not [{ Working: > 0 }]) Assert.True(await mission.Engine.StepAsync(CancellationToken.None));
        await mission.Engine.StepAsync(CancellationToken.None);
        await mission.ApproveAsync(b, first + 1);
        await mission.DrainAsync();
        Assert.All(mission.SetsOfProducts(), o => Assert.Equal([o.Key < first ? 1 : o.Key == first ? a : b], o.Value));
        var all = mission.Stores.Reprocessing.All();
        Assert.Equal(all[1].Orbits, all[0].TakenOver);
        Assert.All(all, r => Assert.NotNull(r.Finished));
    }

    [Fact]
    public async Task Going_back_before_anything_was_made_makes_nothing()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(PacketsOf(0, 3));
        await mission.DrainAsync();
        var before = mission.Products();
        await mission.Reprocessing.PauseAsync(Lea, null);
        await mission.ApproveAsync(await mission.ProposeAsync("warmer", 1.1), mission.OrbitAt(0));
        await mission.DrainAsync();
        await mission.Desk.ReinstateAsync(1, new() { Reason = "a mistake", FromOrbit = mission.OrbitAt(0), InPlaceOf = mission.Desk.Outlook(1, new() { FromOrbit = mission.OrbitAt(0) }).InPlaceOf }, Leo);
        await mission.DrainAsync();
        await mission.Reprocessing.ResumeAsync(Lea, null);
        Assert.DoesNotContain(WorkKinds.Retrieve, mission.Stores.Work.Count().Keys);
        await mission.DrainAsync();
        Assert.All(mission.SetsOfProducts(), o => Assert.Equal([1L], o.Value));
        Assert.Empty(mission.Stores.Reprocessing.Orbits());
        Assert.Equal(0, mission.Stores.Reprocessing.All()[1].Orbits);
        Assert.NotEqual("", before);
    }
}
