using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Winds;

/// <summary>In which order the engine takes winds and the rest.</summary>
public class WindOrderTests
{
    private static readonly ScenarioGenerator Generator = new(DemoScenario.Default);
    private static readonly Instant Start = DemoScenario.Default.Start.AddSeconds(2 * 86400);

    [Fact]
    public async Task While_older_data_wait_the_newest_orbits_get_their_verdicts_then_their_winds()
    {
        using var mission = await RanAsync();
        var orbit = mission.Stores.Orbits.Newest(1)[0].Orbit;
        // An hour long before all orbits, as a backlog has many.
        await mission.Stores.Work.MarkAsync(WorkKinds.Decode, [Hour.Of(Start) - 100], Start);
        foreach (var kind in new[] { WorkKinds.Vectors, WorkKinds.Winds, WorkKinds.Assess }) await mission.Stores.Work.MarkAsync(kind, [orbit], Start);
        Assert.Equal([WorkKinds.Assess, WorkKinds.Winds, WorkKinds.Vectors, WorkKinds.Decode], await OrderAsync(mission, 4));
    }

    [Fact]
    public async Task Data_of_the_newest_orbits_go_before_winds_and_an_assessment_for_winds_alone_goes_last()
    {
        using var mission = await RanAsync();
        var orbit = mission.Stores.Orbits.Newest(1)[0];
        await mission.Stores.Work.MarkAsync(WorkKinds.Retrieve, [Hour.Of(orbit.Start)], Start);
        foreach (var kind in new[] { WorkKinds.Vectors, WorkKinds.Winds }) await mission.Stores.Work.MarkAsync(kind, [orbit.Orbit], Start);
        await mission.Stores.Work.MarkAsync(WorkKinds.Assess, [orbit.Orbit], Start, WorkKinds.AfterWinds);
        Assert.Equal([WorkKinds.Retrieve, WorkKinds.Winds, WorkKinds.Vectors, WorkKinds.WindUse, WorkKinds.ZeroWind, WorkKinds.Assess], await OrderAsync(mission, 6));
        Assert.True(mission.Stores.Work.IsEmpty);
    }

    private static async Task<TestMission> RanAsync()
    {
        var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(Generator.PacketsFor(Start, Start.AddSeconds(1200)));
        await mission.DrainAsync();
        Assert.True(mission.Stores.Work.IsEmpty);
        return mission;
    }

    // Which kind of mark each step takes away.
    private static async Task<List<string>> OrderAsync(TestMission mission, int steps)
    {
        var order = new List<string>();
        for (var i = 0; i < steps; i++)
        {
            var before = mission.Stores.Work.Count();
            Assert.True(await mission.Engine.StepAsync(CancellationToken.None));
            var after = mission.Stores.Work.Count();
            order.AddRange(before.Keys.Where(k => after.GetValueOrDefault(k) < before[k]));
        }
        return order;
    }
}
