using System.Text.Json.Nodes;
using Microsoft.Extensions.Logging.Abstractions;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Pipeline.Coefficients.Drift;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Pipeline.Tests.Engine;

namespace Phasekeeper.Pipeline.Tests.Coefficients;

/// <summary>
/// Two days of the demo whose first coefficient set has thermal slopes that are 3 % too large, with every lamp exposure and every twelfth scene: computed once, and copied for each test.
/// </summary>
public sealed class DriftedCampaign : IAsyncLifetime
{
    public const string Collection = "a drifted campaign";
    public const double WrongBy = 1.03, Hours = 56;
    private const int SceneEvery = 12;
    private string saved = "";

    public async Task InitializeAsync()
    {
        var mission = await TestMission.StartAsync(ShortCampaign.Generator, profile => ChangeSlopes(profile, WrongBy));
        await mission.TakeAsync(ThinPackets(0, Hours));
        await mission.DrainAsync();
        saved = mission.Save();
    }

    public Task DisposeAsync()
    {
        Directory.Delete(saved, recursive: true);
        return Task.CompletedTask;
    }

    /// <summary>The campaign in a folder of its own.</summary>
    internal Task<TestMission> OpenAsync() => TestMission.CopyOfAsync(saved);

    /// <summary>Packets of some hours without most scenes: what stays costs a quarter.</summary>
    public static byte[] ThinPackets(double fromHours, double toHours, int sceneEvery = SceneEvery) => ThinPackets(fromHours, toHours, (e, _) => e.Id / 5 % sceneEvery == 0);

    /// <summary>The same with the scenes of a stretch of so many seconds in each of a longer one: long enough for both views to see the same places, they give vectors.</summary>
    public static byte[] PacketsOfStretches(double fromHours, double toHours, double keptS, double ofS) => ThinPackets(fromHours, toHours, (_, s) => s % ofS < keptS);

    private static byte[] ThinPackets(double fromHours, double toHours, Func<Exposure, double, bool> keep)
    {
        var (from, to) = (ShortCampaign.Start.AddSeconds(fromHours * 3600), ShortCampaign.Start.AddSeconds(toHours * 3600));
        var left = ShortCampaign.Generator.Schedule.Between(from, to).Where((e, i) => e.Kind == ExposureKind.Scene && !keep(e, e.Time - ShortCampaign.Start)).Select(e => e.Time);
        // A millisecond around the middle of a scene that is left out.
        var pieces = new List<(Instant From, Instant To)>();
        foreach (var time in left)
        {
            pieces.Add((from, time));
            from = time.AddSeconds(0.001);
        }
        pieces.Add((from, to));
        return [.. pieces.AsParallel().AsOrdered().Select(p => ShortCampaign.Generator.PacketsFor(p.From, p.To)).SelectMany(b => b)];
    }

    /// <summary>Changes the thermal slopes of a profile's coefficients.</summary>
    public static void ChangeSlopes(string profile, double factor)
    {
        var file = Path.Combine(profile, "coefficients.json");
        var set = JsonNode.Parse(File.ReadAllText(file))!;
        foreach (var optics in set["optics"]!.AsArray()) optics!["thermal"]!["radPerK"] = optics["thermal"]!["radPerK"]!.GetValue<double>() * factor;
        File.WriteAllText(file, set.ToJsonString());
    }
}

[CollectionDefinition(DriftedCampaign.Collection)]
public sealed class DriftedCampaignCollection : ICollectionFixture<DriftedCampaign>;

/// <summary>Fits, evidence and drift watch of a mission, as the host puts them together.</summary>
internal sealed class CoefficientPrograms : IDisposable
{
    public CoefficientPrograms(TestMission mission)
    {
        Board = new EvidenceBoard(mission.Changes);
        Fits = new FitDesk(mission.Stores, mission.Engine, mission.Desk, Board);
        Watch = new DriftWatch(mission.Stores, mission.Engine, Fits);
        Worker = new EvidenceWorker(mission.Stores, mission.Engine, mission.Desk, Board, Watch, mission.Changes, TimeProvider.System, NullLogger<EvidenceWorker>.Instance);
        Evidence = new EvidenceDesk(mission.Stores, mission.Desk, Board, TimeProvider.System);
    }

    public EvidenceBoard Board { get; }
    public FitDesk Fits { get; }
    public DriftWatch Watch { get; }
    public EvidenceWorker Worker { get; }
    public EvidenceDesk Evidence { get; }

    public void Dispose()
    {
        Worker.Dispose();
        Fits.Dispose();
    }
}
