using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Stages;

public sealed class TrackerVersionTests
{
    private static readonly ScenarioGenerator Generator = new(DemoScenario.Default, events: []);

    [Theory]
    [InlineData("trackers/0")]
    [InlineData("")] // as a store of before trackers had a version: nothing is known of it
    public async Task A_start_with_another_version_computes_orbits_again_and_one_with_the_same_does_not(string before)
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(Generator.PacketsFor(DemoScenario.Default.Start, DemoScenario.Default.Start.AddSeconds(1200)));
        await mission.DrainAsync();
        var orbits = mission.Stores.Orbits.Touching(Instant.MinValue, Instant.MaxValue).Select(o => (long)o.Orbit).ToArray();
        var products = mission.Products();
        var values = mission.Stores.Trackers.OfOrbit((int)orbits[0]).Count;
        Assert.True(values > 0);

        await mission.Engine.LoadAsync(CancellationToken.None);
        Assert.True(mission.Stores.Work.IsEmpty);

        // Values of another version, as far as they go: none.
        await mission.Stores.Database.WriteAsync(t =>
        {
            SettingStore.Set(t, TrackerVersionMarks.Key, before);
            foreach (var orbit in orbits) TrackerStore.ReplaceOrbit(t, (int)orbit, [], TrackerCatalog.IdsOf(TrackerSource.Measurements));
        });
        Assert.True(mission.Stores.Trackers.OfOrbit((int)orbits[0]).Count < values);
        await mission.Engine.LoadAsync(CancellationToken.None);
        Assert.Equal(orbits.Order(), mission.Stores.Work.Peek(WorkKinds.Orbit, 100).Select(w => w.Key).Order());
        Assert.Equal(TrackerVersionMarks.Version, mission.Stores.Settings.Get(TrackerVersionMarks.Key));
        await mission.DrainAsync();
        Assert.Equal(values, mission.Stores.Trackers.OfOrbit((int)orbits[0]).Count);
        Assert.Equal(products, mission.Products());
    }
}
