using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;
using Phasekeeper.Web.Layout;

namespace Phasekeeper.Web.Hosting;

/// <summary>Keeps the header's snapshot of the mission: once a second, since what it tells of also changes by itself.</summary>
public sealed class MissionStatusFollower(MissionStatus status, Stores stores, MissionFolder folder, PipelineEngine engine, IntakeService intake, TimeProvider clock) : BackgroundService
{
    private const int OrbitsLookedAt = 100;
    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(1);

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        await Task.Yield();
        using var timer = new PeriodicTimer(Interval, clock);
        do status.Set(Snapshot());
        while (await timer.WaitForNextTickAsync(stoppingToken).ConfigureAwait(false));
    }

    private MissionSnapshot Snapshot()
    {
        var figures = intake.Figures();
        var time = figures.LastPacketTime;
        var state = engine.Ready.IsFaulted || engine.ExecuteTask is { IsFaulted: true } ? FeedState.Stopped : time is null ? FeedState.Waiting : figures.Idle ? FeedState.UpToDate : FeedState.Processing;
        var orbit = time is { } t && engine.Mission?.Orbits is { CountsDays: false } orbits ? orbits.At(t)?.Number : null;
        var lag = time is { } now ? Lag(now, figures.Idle) : null;
        var waiting = figures.PendingFiles > 0 ? $"{figures.PendingFiles} files, {figures.PendingBytes / 1e6:0.0} MB" : figures.Idle ? null : "processing";
        return new(folder.Profile.Spacecraft, folder.Profile.Instrument?.Name, time, orbit, state, lag, waiting);
    }

    // How far the newest orbit whose data are through and that has a verdict lies behind mission time; one that is only looked at again counts.
    private double? Lag(Instant missionTime, bool idle)
    {
        if (idle) return 0;
        var waiting = stores.Work.Peek(WorkKinds.Orbit, OrbitsLookedAt).Select(w => (int)w.Key).ToHashSet();
        return stores.Orbits.Newest(OrbitsLookedAt).FirstOrDefault(o => !waiting.Contains(o.Orbit) && o.VerdictReasons != OrbitVerdict.NotYet) is { } done ? Math.Max(0, missionTime - done.End) : null;
    }
}
