using Microsoft.Extensions.Logging.Abstractions;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Engine;

/// <summary>The demo mission in a folder of its own, driven by hand: bytes in, drain, look at the stores.</summary>
internal sealed class TestMission : IDisposable
{
    private readonly string root = Path.Combine(Path.GetTempPath(), "pk-" + Guid.NewGuid().ToString("N"));

    private TestMission(ScenarioGenerator generator, Action<string>? changeProfile)
    {
        Directory.CreateDirectory(root);
        var profile = Path.Combine(root, "profile");
        generator.WriteProfile(profile);
        changeProfile?.Invoke(profile);
        Folder = MissionFolder.Load(profile);
        (Stores, Intake, Engine) = Open();
    }

    private TestMission(string saved)
    {
        foreach (var file in Directory.EnumerateFiles(saved, "*", SearchOption.AllDirectories))
        {
            var copy = Path.Combine(root, Path.GetRelativePath(saved, file));
            Directory.CreateDirectory(Path.GetDirectoryName(copy)!);
            File.Copy(file, copy);
        }
        Folder = MissionFolder.Load(Path.Combine(root, "profile"));
        (Stores, Intake, Engine) = Open();
    }

    private (Stores, IntakeService, PipelineEngine) Open()
    {
        var stores = Stores.Open(Path.Combine(root, "data"));
        var intake = new IntakeService(stores, IntakeRules.Of(Folder.Profile, Folder.Plan), Changes, TimeProvider.System);
        return (stores, intake, new PipelineEngine(stores, Folder, Changes, TimeProvider.System, NullLogger<PipelineEngine>.Instance) { ReprocessingBatchOrbits = 2 });
    }

    public MissionFolder Folder { get; private set; }
    public Stores Stores { get; private set; }
    public IntakeService Intake { get; private set; }
    public PipelineEngine Engine { get; private set; }
    public ChangeFeed Changes { get; } = new(TimeProvider.System);

    public static async Task<TestMission> StartAsync(ScenarioGenerator generator, Action<string>? changeProfile = null)
    {
        var mission = new TestMission(generator, changeProfile);
        await mission.Engine.LoadAsync(CancellationToken.None);
        return mission;
    }

    /// <summary>The mission of a folder that <see cref="Save"/> left, in a folder of its own.</summary>
    public static async Task<TestMission> CopyOfAsync(string saved)
    {
        var mission = new TestMission(saved);
        await mission.Engine.LoadAsync(CancellationToken.None);
        return mission;
    }

    /// <summary>Ends the program and leaves its folder to be copied; give it back by deleting it.</summary>
    public string Save()
    {
        Close();
        return root;
    }

    public async Task TakeAsync(byte[] bytes, string source = "test:packets.pkt")
    {
        await Intake.IngestAsync(bytes, source, Actor.System);
    }

    /// <summary>Works until nothing waits. Nothing may fail on the way, but where a test makes it fail.</summary>
    public async Task DrainAsync(bool mayFail = false)
    {
        await Engine.DrainAsync(CancellationToken.None);
        if (!mayFail) Xunit.Assert.Empty(Stores.Work.Aside());
    }

    /// <summary>Proposals and decisions.</summary>
    public CoefficientDesk Desk => new(Stores, Engine, Changes, TimeProvider.System);

    /// <summary>Hold and resume.</summary>
    public ReprocessingControl Reprocessing => new(Stores, Changes, TimeProvider.System);

    /// <summary>Ends the program wherever it is, and starts it again on the same folder.</summary>
    public async Task RestartAsync()
    {
        Close();
        (Stores, Intake, Engine) = Open();
        await Engine.LoadAsync(CancellationToken.None);
    }

    /// <summary>Other rules in the profile, for the next start.</summary>
    public void ChangeRules(Func<Core.Flags.RuleSet, Core.Flags.RuleSet> change) => Folder = Folder with { Rules = change(Folder.Rules) };

    /// <summary>All products as text, without what tells when and from where they came.</summary>
    public string Products() => Stores.Database.Read(c => ProductDump.Of(c));

    private void Close()
    {
        Engine.Dispose();
        Intake.Dispose();
        Stores.Dispose();
    }

    public void Dispose()
    {
        Close();
        Directory.Delete(root, recursive: true);
    }
}
