using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Pipeline.ZeroWind;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.ZeroWind;

public sealed class ZeroWindVersionTests
{
    private static readonly ScenarioGenerator Generator = new(DemoScenario.Default, events: []);

    [Fact]
    public async Task A_start_with_another_version_makes_each_days_zero_wind_again_and_one_with_the_same_does_not()
    {
        using var mission = await TestMission.StartAsync(Generator);
        var start = DemoScenario.Default.Start;
        // Over a midnight: two days with estimates.
        await mission.TakeAsync(Generator.PacketsFor(start.AddSeconds(86400 - 3600), start.AddSeconds(86400 + 5 * 3600)));
        await mission.DrainAsync();
        var products = mission.Products();
        var days = mission.Stores.Orbits.Touching(Instant.MinValue, Instant.MaxValue).Select(o => o.Start.ToUnixDay().UnixDay).Distinct().Order().ToArray();
        Assert.True(days.Length >= 2);
        Assert.NotEmpty(mission.Stores.ZeroWinds.Read(days[0], days[^1]));

        await mission.Engine.LoadAsync(CancellationToken.None);
        Assert.True(mission.Stores.Work.IsEmpty);

        // Estimates of another version, as far as they go: none.
        await mission.Stores.Database.WriteAsync(t =>
        {
            SettingStore.Set(t, ZeroWindVersionMarks.Key, "zeroWind/0");
            foreach (var day in days) ZeroWindStore.Replace(t, day, []);
        });
        await mission.Engine.LoadAsync(CancellationToken.None);
        Assert.Equal(days, mission.Stores.Work.Peek(WorkKinds.ZeroWind, 100).Select(w => w.Key).Order());
        Assert.Equal(ZeroWindVersionMarks.Version, mission.Stores.Settings.Get(ZeroWindVersionMarks.Key));
        await mission.DrainAsync();
        Assert.NotEmpty(mission.Stores.ZeroWinds.Read(days[0], days[^1]));
        Assert.Equal(products, mission.Products());
    }
}
