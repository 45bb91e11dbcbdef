using Phasekeeper.Core.Input;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Mission;

namespace Phasekeeper.Pipeline.Tests.Mission;

/// <summary>What a profile folder may hold, and how its mistakes are told.</summary>
public sealed class ProfileFolderTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("phasekeeper-profile-").FullName;

    public ProfileFolderTests() => new ScenarioGenerator(DemoScenario.Default).WriteProfile(folder, DemoScenario.Default.Start.AddSeconds(86400));

    [Fact]
    public void Views_may_have_ids_that_no_file_name_can_hold()
    {
        foreach (var name in new[] { "profile.json", "coefficients.json", "packets.xtce.xml" })
        {
            var path = Path.Combine(folder, name);
            File.WriteAllText(path, File.ReadAllText(path).Replace("\"F\"", "\"fore/1\"", StringComparison.Ordinal));
        }
        var mission = MissionFolder.Load(folder);
        var set = CoefficientPackage.Read(CoefficientPackage.Write(mission.GroundSet!), mission.Profile.Instrument!, "packed");
        Assert.Equal(mission.GroundSet!.Optics.Select(o => (o.View, o.Line)), set.Optics.Select(o => (o.View, o.Line)));
        Assert.Contains(set.Optics, o => o.View == "fore/1" && o.Flat is not null);
        Assert.All(mission.GroundSet.Optics.Zip(set.Optics), pair => Assert.Equal(pair.First.Flat, pair.Second.Flat));
    }

    [Fact]
    public void Mistakes_of_the_orbit_file_are_told_before_anything_starts()
    {
        var path = Directory.GetFiles(folder, "*.oem").Single();
        File.WriteAllText(path, File.ReadAllText(path).Replace("REF_FRAME = TEME", "REF_FRAME = MARS", StringComparison.Ordinal));
        var error = Assert.Throws<InputException>(() => MissionFolder.Load(folder));
        Assert.Contains(error.Errors, e => e.File == Path.GetFileName(path) && e.Message.Contains("MARS", StringComparison.Ordinal));
    }

    public void Dispose() => Directory.Delete(folder, recursive: true);
}
