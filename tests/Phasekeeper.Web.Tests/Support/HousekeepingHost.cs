using System.Text.Json.Nodes;
using Phasekeeper.Tests;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>The application on a mission without an interferometer: the demo's satellite with its temperatures and voltages, and nothing that makes fringes.</summary>
public sealed class HousekeepingHost : WebHost, IAsyncLifetime
{
    private static readonly string[] OfFringes = ["fringe", "instrument", "coefficients", "cadence", "roles"];
    private readonly string profile = Directory.CreateTempSubdirectory("phasekeeper-housekeeping-").FullName;

    /// <inheritdoc/>
    protected override string Profile => profile;

    /// <inheritdoc/>
    public async Task InitializeAsync()
    {
        DemoProfile.Generator.WriteProfile(profile);
        var file = Path.Combine(profile, "profile.json");
        var json = JsonNode.Parse(await File.ReadAllTextAsync(file))!.AsObject();
        foreach (var key in OfFringes) json.Remove(key);
        await File.WriteAllTextAsync(file, json.ToJsonString());
        // Before the first exposure there is nothing but housekeeping.
        await Post(DemoProfile.Generator.PacketsFor(DemoProfile.Generator.FirstPacket, DemoProfile.Generator.Scenario.Start));
        await WaitUntilIdle();
    }

    async Task IAsyncLifetime.DisposeAsync()
    {
        await DisposeAsync();
        TestFolder.Delete(profile);
    }
}
