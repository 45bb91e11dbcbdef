using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Stages;

public sealed class RetrievalVersionTests
{
    private static readonly ScenarioGenerator Generator = new(DemoScenario.Default, events: []);

    [Fact]
    public async Task A_start_with_another_version_retrieves_all_hours_again_and_one_with_the_same_does_not()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(Generator.PacketsFor(DemoScenario.Default.Start, DemoScenario.Default.Start.AddSeconds(4500)));
        await mission.DrainAsync();
        var hours = mission.Stores.Fringes.HoursBetween(long.MinValue, long.MaxValue);
        Assert.True(hours.Count >= 2);
        var products = mission.Products();

        await mission.Engine.LoadAsync(CancellationToken.None);
        Assert.True(mission.Stores.Work.IsEmpty);

        // Phases of another version: other numbers, with fingerprints of their own.
        await mission.Stores.Database.WriteAsync(t =>
        {
            SettingStore.Set(t, RetrievalVersionMarks.Key, "retrieval/0");
            foreach (var hour in hours)
                FringeStore.ReplaceHour(t, hour, mission.Stores.Fringes.OfHour(hour).Select(f => f with
                {
                    InputHash = [.. f.InputHash.Select(b => (byte)~b)],
                    Result = f.Result with { PhaseRad = [.. f.Result.PhaseRad.Select(p => p + 0.01)] },
                }));
        });
        Assert.NotEqual(products, mission.Products());
        await mission.Engine.LoadAsync(CancellationToken.None);
        Assert.Equal(hours, mission.Stores.Work.Peek(WorkKinds.Retrieve, 100).Select(w => w.Key).Order());
        Assert.Equal(RowsDigest.RetrievalVersion, mission.Stores.Settings.Get(RetrievalVersionMarks.Key));
        await mission.DrainAsync();
        Assert.Equal(products, mission.Products());
    }
}
