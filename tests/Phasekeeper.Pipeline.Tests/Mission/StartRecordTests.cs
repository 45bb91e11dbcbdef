using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Mission;

/// <summary>What a start takes in or changes by itself is on record.</summary>
public sealed class StartRecordTests : IDisposable
{
    private readonly string root = Path.Combine(Path.GetTempPath(), "pk-start-" + Guid.NewGuid().ToString("N"));
    private readonly Stores stores;

    public StartRecordTests()
    {
        new ScenarioGenerator(DemoScenario.Default, events: []).WriteProfile(Profile);
        stores = Stores.Open(Path.Combine(root, "data"));
    }

    private string Profile => Path.Combine(root, "profile");

    public void Dispose()
    {
        stores.Dispose();
        Directory.Delete(root, recursive: true);
    }

    [Fact]
    public async Task A_first_start_takes_in_files_rules_and_coefficients_a_second_one_nothing_and_a_changed_profile_shows()
    {
        await StartAsync();
        var first = Kinds();
        Assert.Equal([RecordKinds.FileReceive, RecordKinds.RulesAdopt, RecordKinds.CoefficientsApprove, RecordKinds.ProfileAdopt, RecordKinds.VersionChange], first.Distinct());
        await StartAsync();
        Assert.Equal(first, Kinds());

        var file = Path.Combine(Profile, MissionFolder.ProfileName);
        var before = stores.Record.List(new(What: RecordKinds.ProfileAdopt), 1).Items[0];
        File.AppendAllText(file, "\n");
        await StartAsync();
        Assert.Equal([.. first, RecordKinds.ProfileAdopt], Kinds());
        var change = stores.Record.List(new(What: RecordKinds.ProfileAdopt), 1).Items[0];
        Assert.Equal((Actor.System.Name, before.After), (change.Person, change.Before));
        Assert.NotEqual(change.Before, change.After);
        Assert.Contains(MissionFolder.ProfileName, change.After, StringComparison.Ordinal);
        Assert.True(RecordVerifier.Verify(stores.Database).IsWhole);
    }

    private Task StartAsync() => new MissionLoader(stores, MissionFolder.Load(Profile), TimeProvider.System).RegisterAsync(CancellationToken.None);

    private List<string> Kinds() => [.. stores.Record.List(new(), 100).Items.Reverse().Select(e => e.What)];
}
