using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Pipeline.Winds;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Winds;

public sealed class WindVersionTests
{
    private static readonly ScenarioGenerator Generator = new(DemoScenario.Default, events: []);

    [Fact]
    public async Task A_start_with_other_versions_makes_winds_again_and_one_with_the_same_does_not()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(Generator.PacketsFor(DemoScenario.Default.Start, DemoScenario.Default.Start.AddSeconds(1200)));
        await mission.DrainAsync();
        var orbits = mission.Stores.Orbits.Touching(Instant.MinValue, Instant.MaxValue).Select(o => (long)o.Orbit).ToArray();
        var products = mission.Products();
        Assert.NotEmpty(orbits);
        Assert.NotEmpty(mission.Stores.Winds.OfOrbit((int)orbits[0]));

        await mission.Engine.LoadAsync(CancellationToken.None);
        Assert.True(mission.Stores.Work.IsEmpty);

        // Winds of another version, of which nothing is left, as a change of the store's schema leaves them.
        await mission.Stores.Database.WriteAsync(t =>
        {
            SettingStore.Set(t, WindVersionMarks.Key, "winds/0 vectors/0");
            foreach (var orbit in orbits) WindStore.ReplaceOrbit(t, (int)orbit, []);
        });
        await mission.Engine.LoadAsync(CancellationToken.None);
        Assert.Equal(orbits.Order(), mission.Stores.Work.Peek(WorkKinds.Winds, 100).Select(w => w.Key).Order());
        await mission.DrainAsync();
        Assert.Equal(products, mission.Products());

        // Other vectors of the same winds.
        await mission.Stores.Settings.SetAsync(WindVersionMarks.Key, WindDigest.WindVersion + " vectors/0");
        await mission.Engine.LoadAsync(CancellationToken.None);
        Assert.Empty(mission.Stores.Work.Peek(WorkKinds.Winds));
        Assert.Equal(orbits.Length, mission.Stores.Work.Peek(WorkKinds.Vectors, 100).Count);
    }
}
