using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Tests;
using Phasekeeper.Web.Hosting;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Hosting;

/// <summary>A mission's data without the setting that names its profile.</summary>
public sealed class OwnDataTests : IDisposable
{
    private readonly string data = Directory.CreateTempSubdirectory("phasekeeper-own-").FullName;

    public void Dispose() => TestFolder.Delete(data);

    [Fact]
    public async Task The_demo_is_not_played_on_the_data_of_another_mission_and_so_signs_nobody_in_there()
    {
        using (var stores = Stores.Open(data)) await new MissionLoader(stores, MissionFolder.Load(DemoProfile.Folder), TimeProvider.System).RegisterAsync(CancellationToken.None);
        Assert.False(await Opens());
        Assert.False(Directory.Exists(Path.Combine(data, "demo-profile")));
    }

    [Fact]
    public async Task The_demo_goes_on_with_its_own_data()
    {
        Assert.True(await Opens());
        using (var stores = Stores.Open(data)) await new MissionLoader(stores, MissionFolder.Load(Path.Combine(data, "demo-profile")), TimeProvider.System).RegisterAsync(CancellationToken.None);
        Assert.True(await Opens());
    }

    private async Task<bool> Opens()
    {
        var builder = PhasekeeperHost.CreateBuilder(["--Phasekeeper:Data", data]);
        builder.AddPhasekeeperWeb();
        builder.AddPhasekeeperPipeline();
        await using var app = builder.Build();
        return app.TryOpenMission();
    }
}
