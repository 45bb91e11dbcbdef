using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>The demo mission's profile folder, written once for all tests.</summary>
public static class DemoProfile
{
    /// <summary>Makes the demo's packets.</summary>
    public static ScenarioGenerator Generator { get; } = new(DemoScenario.Default, events: []);

    private static readonly Lazy<string> Written = new(() =>
    {
        var folder = Directory.CreateTempSubdirectory("phasekeeper-profile-").FullName;
        Generator.WriteProfile(folder);
        AppDomain.CurrentDomain.ProcessExit += (_, _) => Directory.Delete(folder, recursive: true);
        return folder;
    });

    /// <summary>The folder.</summary>
    public static string Folder => Written.Value;
}
