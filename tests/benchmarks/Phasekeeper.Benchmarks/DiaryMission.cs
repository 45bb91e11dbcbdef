using Microsoft.Extensions.Logging.Abstractions;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Benchmarks;

/// <summary>
/// The whole demo mission from packets to flags, fed in order, some hours at a time, as a mission lives. Its clock stands at mission time, so that a flag tells
/// when it was raised.
/// </summary>
internal sealed class DiaryMission : IDisposable
{
    private readonly ScenarioGenerator generator;
    private readonly string root;
    private readonly bool keep;
    private readonly MissionClock clock = new();
    private readonly Stores stores;
    private readonly IntakeService intake;
    private readonly PipelineEngine engine;
    private readonly List<(ScenarioEvent Event, Instant Delivered)> late;

    /// <param name="generator">What makes the packets.</param>
    /// <param name="folder">Folder to keep the mission in; null = one that goes at the end.</param>
    public DiaryMission(ScenarioGenerator generator, string? folder)
    {
        this.generator = generator;
        keep = folder is not null;
        root = folder ?? Directory.CreateTempSubdirectory("pk-diary-").FullName;
        generator.WriteProfile(Path.Combine(root, "profile"));
        var mission = MissionFolder.Load(Path.Combine(root, "profile"));
        stores = Stores.Open(Path.Combine(root, "data"));
        clock.Now = generator.FirstPacket;
        var changes = new ChangeFeed(clock);
        intake = new IntakeService(stores, IntakeRules.Of(mission.Profile, mission.Plan), changes, clock);
        late = [.. generator.LateDownlinks.OrderBy(d => d.Delivered)];
        engine = new PipelineEngine(stores, mission, changes, clock, NullLogger<PipelineEngine>.Instance);
    }

    public Stores Stores => stores;
    public StageCpu Cpu { get; } = new();
    public long Bytes { get; private set; }

    /// <summary>Goes on to a moment; <paramref name="day"/> is called after each day.</summary>
    public async Task RunAsync(Instant end, double stepHours, Action<Instant> day)
    {
        if (engine.Mission is null) await engine.LoadAsync(CancellationToken.None);
        var nextDay = clock.Now.AddSeconds(86400);
        for (var from = clock.Now; from < end; from = clock.Now)
        {
            clock.Now = from.AddSeconds(stepHours * 3600) < end ? from.AddSeconds(stepHours * 3600) : end;
            await TakeAsync(generator.PacketsFor(from, clock.Now, Environment.ProcessorCount));
            while (late.Count > 0 && late[0].Delivered <= clock.Now)
            {
                await TakeAsync(generator.LatePackets(late[0].Event, Environment.ProcessorCount));
                late.RemoveAt(0);
            }
            await engine.DrainAsync(CancellationToken.None);
            if (clock.Now < nextDay) continue;
            day(clock.Now);
            nextDay = nextDay.AddSeconds(86400);
        }
    }

    private async Task TakeAsync(byte[] packets)
    {
        Cpu.Add("making packets");
        await intake.IngestAsync(packets, "diary", Actor.System);
        Cpu.Add("intake");
        Bytes += packets.Length;
    }

    public void Dispose()
    {
        Cpu.Dispose();
        engine.Dispose();
        intake.Dispose();
        stores.Dispose();
        if (!keep) Directory.Delete(root, recursive: true);
    }
}
