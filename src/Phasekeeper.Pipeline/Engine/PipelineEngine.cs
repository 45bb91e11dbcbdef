using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Activities;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Winds;
using Phasekeeper.Pipeline.ZeroWind;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Engine;

/// <summary>
/// Runs the stages in the order of the data's way: files → decode → retrieve → orbit → assess → winds → vectors → their use (zero wind, comparison) → assess → the next orbits to be made with other coefficients. All that is left to do stands in the store's work
/// queue, so a kill at any point is made up for at the next start. A unit that fails is set aside (<see cref="SetAside"/>) and the rest goes on. Within a kind the newest unit goes first, and an orbit is shown as soon as its own data
/// are there; orbits that merely lean on it follow when the new data are through. Winds come after verdicts, which do not wait for them; but the newest orbits get theirs
/// before a long backfill goes on.
/// </summary>
public sealed class PipelineEngine : BackgroundService
{
    private const int OrbitsLookedAt = 50;
    private const int HoursLookedAt = 5000;
    private const int MarksLookedAt = 100_000;
    // Chosen: an assessment looks at whole series, so it is worth its time when this many orbits, and this share of all, wait for one while more data wait: verdicts
    // of a first start come early, and a long backfill is not assessed over and over.
    private const int ManyOrbits = 4;
    private const int ShareOfOrbits = 16;
    // Chosen: a day. People look at yesterday's winds in the morning.
    private const int NewestOrbits = 15;
    private static readonly TimeSpan Idle = TimeSpan.FromMilliseconds(200);
    // Chosen: hours this far behind mission time get few packets any more.
    private const double CompactBehindS = 3 * 3600;
    private static readonly TimeSpan CompactEvery = TimeSpan.FromMinutes(5);
    // Chosen: some tens of milliseconds of the writer.
    private const int PartsAtOnce = 20;

    private readonly Stores stores;
    private readonly MissionLoader loader;
    private readonly MissionFolder folder;
    private readonly ChangeFeed changes;
    private readonly TimeProvider clock;
    private readonly ILogger<PipelineEngine> log;
    private readonly AuxiliaryStage auxiliary;
    private readonly DecodeStage decode;
    private readonly RetrieveStage retrieve;
    private readonly OrbitStage orbit;
    private readonly AssessStage assess;
    private readonly WindStage winds;
    private readonly WindVectorStage vectors;
    private readonly WindUseStage windUse;
    private readonly ZeroWindStage zeroWind;
    private readonly Reprocessing reprocessing;
    private readonly HourDecoder decoder;
    private readonly SetAside units;
    private readonly TaskCompletionSource ready = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private long lastCompaction;

    /// <summary>An engine on a mission's stores.</summary>
    public PipelineEngine(Stores stores, MissionFolder folder, ChangeFeed changes, TimeProvider clock, ILogger<PipelineEngine> log)
    {
        (this.stores, this.folder, this.changes, this.clock, this.log) = (stores, folder, changes, clock, log);
        loader = new MissionLoader(stores, folder, clock);
        units = new SetAside(stores, clock, log);
        decoder = new HourDecoder(folder.Plan, folder.Profile);
        auxiliary = new AuxiliaryStage(stores, loader.Reader, loader.Plans, clock);
        decode = new DecodeStage(stores, clock);
        retrieve = new RetrieveStage(stores, clock);
        orbit = new OrbitStage(stores, folder.Plan, clock);
        assess = new AssessStage(stores, orbit.Channels, clock);
        winds = new WindStage(stores, clock);
        vectors = new WindVectorStage(stores, clock);
        windUse = new WindUseStage(stores, clock);
        zeroWind = new ZeroWindStage(stores, clock);
        reprocessing = new Reprocessing(stores, clock);
        lastCompaction = clock.GetTimestamp();
    }

    /// <summary>Completed when the mission's state is loaded.</summary>
    public Task Ready => ready.Task;

    /// <summary>The mission as it is now; null before <see cref="Ready"/>.</summary>
    public MissionState? Mission { get; private set; }

    /// <summary>Orbits that are made again together after a decision about coefficients; see <see cref="Reprocessing.BatchOrbits"/>.</summary>
    public int ReprocessingBatchOrbits
    {
        get => reprocessing.BatchOrbits;
        set => reprocessing.BatchOrbits = value;
    }

    /// <summary>What in the profile folder differs from what is in force.</summary>
    public IReadOnlyList<string> ProfileDifferences { get; private set; } = [];

    /// <summary>Loads the mission: registers the profile's files once and brings the state up.</summary>
    public async Task LoadAsync(CancellationToken cancel)
    {
        await stores.Archive.RecoverOnceAsync(Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime), cancel).ConfigureAwait(false);
        await loader.RegisterAsync(cancel).ConfigureAwait(false);
        await loader.KeepOutlinesAsync(cancel).ConfigureAwait(false);
        Mission = loader.Load();
        await TakeUpActivitiesAsync(cancel).ConfigureAwait(false);
        // Orbit files come first of all: without them nothing has an orbit number.
        await ReadFilesAsync(cancel).ConfigureAwait(false);
        // Once more: a kill may have come between a file and its orbits.
        await loader.AlignOrbitsAsync(Mission, cancel).ConfigureAwait(false);
        await RetrievalVersionMarks.MarkAsync(stores, clock, cancel).ConfigureAwait(false);
        await TrackerVersionMarks.MarkAsync(stores, clock, cancel).ConfigureAwait(false);
        await WindVersionMarks.MarkAsync(stores, clock, cancel).ConfigureAwait(false);
        await ZeroWindVersionMarks.MarkAsync(stores, clock, cancel).ConfigureAwait(false);
        ProfileDifferences = loader.Differences(Mission);
        ready.TrySetResult();
    }

    /// <summary>Runs everything that is marked, until nothing is.</summary>
    public async Task DrainAsync(CancellationToken cancel)
    {
        while (await StepAsync(cancel).ConfigureAwait(false)) cancel.ThrowIfCancellationRequested();
    }

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        await Task.Yield();
        try
        {
            await LoadAsync(stoppingToken).ConfigureAwait(false);
        }
        catch (Exception e) when (e is not OperationCanceledException)
        {
            ready.TrySetException(e);
            throw;
        }
        while (!stoppingToken.IsCancellationRequested)
            if (!await StepAsync(stoppingToken).ConfigureAwait(false) && !await CompactAsync(stoppingToken).ConfigureAwait(false) && !await PackTrackersAsync(stoppingToken).ConfigureAwait(false))
                await Task.Delay(Idle, clock, stoppingToken).ConfigureAwait(false);
    }

    /// <summary>Packs the many small files that live data make of an hour; only of hours well past, and only now and then.</summary>
    private async Task<bool> CompactAsync(CancellationToken cancel)
    {
        if (clock.GetElapsedTime(lastCompaction) < CompactEvery || stores.Archive.LastPacketTime is not { } missionTime) return false;
        var packed = await stores.Archive.CompactAsync(missionTime.AddSeconds(-CompactBehindS), Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime), cancel).ConfigureAwait(false);
        if (packed == 0) lastCompaction = clock.GetTimestamp();
        return packed > 0;
    }

    // Only while nothing waits: a backfill changes the same parts over and over.
    private async Task<bool> PackTrackersAsync(CancellationToken cancel) => await stores.Trackers.PackAsync(PartsAtOnce, cancel).ConfigureAwait(false) > 0;

    /// <summary>Runs one unit of work; false when there is none.</summary>
    public async Task<bool> StepAsync(CancellationToken cancel)
    {
        if (await TakeUpDecisionsAsync(cancel).ConfigureAwait(false)) return true;
        // Before files: a calendar's marks follow from what the mission was until then.
        if (await TakeUpActivitiesAsync(cancel).ConfigureAwait(false)) return true;
        if (await TakeUpRulesAsync(cancel).ConfigureAwait(false)) return true;
        if (await ReadFilesAsync(cancel).ConfigureAwait(false)) return true;
        if (await OrbitAsync(WorkKinds.Orbit, cancel).ConfigureAwait(false)) return true;
        if (await AssessAsync(Assessment.WhenMany, cancel).ConfigureAwait(false)) return true;
        if (await NewestWindsAsync(cancel).ConfigureAwait(false)) return true;
        if (await DecodeAsync(cancel).ConfigureAwait(false)) return true;
        if (await RetrieveAsync(null, cancel).ConfigureAwait(false)) return true;
        if (await OrbitAsync(WorkKinds.OrbitAgain, cancel).ConfigureAwait(false)) return true;
        if (await AssessAsync(Assessment.BeforeWinds, cancel).ConfigureAwait(false)) return true;
        if (await WindsAsync(WorkKinds.Winds, int.MinValue, cancel).ConfigureAwait(false)) return true;
        if (await WindsAsync(WorkKinds.Vectors, int.MinValue, cancel).ConfigureAwait(false)) return true;
        if (await WindsAsync(WorkKinds.WindUse, int.MinValue, cancel).ConfigureAwait(false)) return true;
        if (await WindsAsync(WorkKinds.ZeroWind, int.MinValue, cancel).ConfigureAwait(false)) return true;
        if (await AssessAsync(Assessment.All, cancel).ConfigureAwait(false)) return true;
        return await ReprocessAsync(cancel).ConfigureAwait(false);
    }

    // Before anything is computed: from here on the mission has the set that was decided, and orbits that wait what they had.
    private async Task<bool> TakeUpDecisionsAsync(CancellationToken cancel)
    {
        var items = stores.Work.Peek(WorkKinds.TakeUpDecision, MarksLookedAt);
        // In the order in which they were taken; the queue gives the newest first.
        foreach (var item in items.OrderBy(i => i.Key))
        {
            await StageMetrics.MeasureAsync(WorkKinds.TakeUpDecision, () => reprocessing.TakeUpAsync(item, Mission!, cancel)).ConfigureAwait(false);
            Mission = loader.WithCoefficients(Mission!);
            changes.Publish(ChangeKind.Coefficients);
        }
        // What failed may do with other coefficients.
        if (items.Count > 0) stores.Work.TryAgain();
        return items.Count > 0;
    }

    // What a version touches follows from the versions before it, so that a kill between writing and taking it up loses nothing.
    private async Task<bool> TakeUpActivitiesAsync(CancellationToken cancel)
    {
        var items = stores.Work.Peek(WorkKinds.TakeUpActivity, MarksLookedAt);
        if (items.Count == 0) return false;
        Mission = loader.WithActivities(Mission!);
        foreach (var item in items.OrderBy(i => i.Key))
        {
            var marks = ActivityMarks.Of(loader.Plans.Before(item.Key).Active, loader.Plans.Before(item.Key + 1).Active, stores);
            var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
            await stores.Database.WriteAsync(t =>
            {
                marks.Write(t, withWinds: Mission.Instrument is not null, now);
                WorkQueue.Clear(t, item);
            }, cancel).ConfigureAwait(false);
            changes.Publish(ChangeKind.Activities, item.Key);
        }
        return true;
    }

    // From here on assessments see the new version; what it judges of the past is assessed again like any other orbit.
    private async Task<bool> TakeUpRulesAsync(CancellationToken cancel)
    {
        var items = stores.Work.Peek(WorkKinds.TakeUpRules, MarksLookedAt);
        if (items.Count == 0) return false;
        Mission = loader.WithRules(Mission!);
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        var versions = Mission.RuleVersions.Versions.ToDictionary(v => v.Number, v => v.FirstOrbit);
        await stores.Database.WriteAsync(t =>
        {
            foreach (var item in items)
            {
                // A version that another one replaced from the same orbit on has nothing to be taken up.
                if (versions.TryGetValue(item.Key, out var first)) WorkQueue.Mark(t, WorkKinds.Assess, Thresholds.StoredRules.ToAssess(stores, first), now);
                WorkQueue.Clear(t, item);
            }
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Rules);
        return true;
    }

    private async Task<bool> ReprocessAsync(CancellationToken cancel)
    {
        if (!await reprocessing.StepAsync(Mission!, cancel).ConfigureAwait(false)) return false;
        Mission = loader.WithCoefficients(Mission!);
        changes.Publish(ChangeKind.Coefficients);
        return true;
    }

    /// <summary>
    /// While older data wait: verdicts, then winds of the newest orbits, once all their data are through. Without older data waiting the ordinary order does the same.
    /// </summary>
    private async Task<bool> NewestWindsAsync(CancellationToken cancel)
    {
        if (stores.Work.Peek(WorkKinds.Winds).Count == 0 && stores.Work.Peek(WorkKinds.Vectors).Count == 0) return false;
        if (stores.Orbits.Newest(NewestOrbits) is not [.., { } oldest]) return false;
        var firstHour = Hour.Of(oldest.Start);
        // The queue gives the newest hour first.
        var decoding = stores.Work.Peek(WorkKinds.Decode);
        if (decoding.Count == 0 || decoding[0].Key >= firstHour || stores.Work.Peek(WorkKinds.Retrieve, HoursLookedAt).Any(w => w.Key >= firstHour)) return false;
        if (stores.Work.Peek(WorkKinds.Orbit).Any(w => w.Key >= oldest.Orbit)) return false;
        if (stores.Work.Peek(WorkKinds.Assess, MarksLookedAt).Any(w => w.Key >= oldest.Orbit && w.Priority > WorkKinds.AfterWinds)) return await AssessAsync(Assessment.BeforeWinds, cancel).ConfigureAwait(false);
        return await WindsAsync(WorkKinds.Winds, oldest.Orbit, cancel).ConfigureAwait(false) || await WindsAsync(WorkKinds.Vectors, oldest.Orbit, cancel).ConfigureAwait(false);
    }

    private async Task<bool> WindsAsync(string kind, int firstOrbit, CancellationToken cancel)
    {
        if (stores.Work.Peek(kind) is not [var item] || item.Key < firstOrbit) return false;
        var missionTime = stores.Archive.LastPacketTime ?? Instant.MinValue;
        await units.RunAsync(item, () => kind switch
        {
            WorkKinds.Winds => winds.RunAsync(item, Mission!, missionTime, cancel),
            WorkKinds.Vectors => vectors.RunAsync(item, Mission!, missionTime, cancel),
            WorkKinds.WindUse => windUse.RunAsync(item, Mission!, missionTime, cancel),
            _ => zeroWind.RunAsync(item, Mission!, missionTime, cancel),
        }).ConfigureAwait(false);
        changes.Publish(ChangeKind.Winds, item.Key);
        return true;
    }

    private async Task<bool> ReadFilesAsync(CancellationToken cancel)
    {
        var any = false;
        while (stores.Work.Peek(WorkKinds.ReadAuxiliary) is [var item])
        {
            any = true;
            await units.RunAsync(item, () => ReadFileAsync(item, cancel)).ConfigureAwait(false);
            changes.Publish(ChangeKind.Auxiliary, item.Key);
        }
        return any;
    }

    private async Task ReadFileAsync(WorkItem item, CancellationToken cancel)
    {
        if (await auxiliary.RunAsync(item, Mission!, cancel).ConfigureAwait(false) is not { } touched) return;
        await loader.KeepOutlinesAsync(cancel).ConfigureAwait(false);
        await loader.KeepNumbersAsync(cancel).ConfigureAwait(false);
        Mission = loader.Load();
        await loader.AlignOrbitsAsync(Mission, cancel).ConfigureAwait(false);
        // Only now it is known which orbits the hours belong to.
        var marks = OrbitMarks.Of(touched, Mission, stores);
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            marks.Write(t, now);
            WorkQueue.Clear(t, item);
        }, cancel).ConfigureAwait(false);
    }

    private async Task<bool> DecodeAsync(CancellationToken cancel)
    {
        if (stores.Work.Peek(WorkKinds.Decode) is not [var item]) return false;
        DecodedHour? decoded = null;
        if (!await units.RunAsync(item, async () => decoded = await decode.RunAsync(item, Mission!, decoder, cancel).ConfigureAwait(false)).ConfigureAwait(false)) return true;
        orbit.Channels.Forget(Mission!.Orbits.In(Hour.Start(item.Key), Hour.End(item.Key)).Select(o => o.Number));
        await RetrieveAsync(decoded, cancel).ConfigureAwait(false);
        return true;
    }

    private async Task<bool> RetrieveAsync(DecodedHour? decoded, CancellationToken cancel)
    {
        if (stores.Work.Peek(WorkKinds.Retrieve) is not [var item]) return false;
        await units.RunAsync(item, () => retrieve.RunAsync(item, Mission!, decoder, decoded?.Hour == item.Key ? decoded : null, cancel)).ConfigureAwait(false);
        changes.Publish(ChangeKind.Hour, item.Key);
        changes.Publish(ChangeKind.Ingest);
        return true;
    }

    private async Task<bool> OrbitAsync(string kind, CancellationToken cancel)
    {
        if (NextOrbit(kind) is not { } item) return false;
        var missionTime = stores.Archive.LastPacketTime ?? Instant.MinValue;
        var known = false;
        await units.RunAsync(item, async () => known = await orbit.RunAsync(item, Mission!, missionTime, cancel).ConfigureAwait(false)).ConfigureAwait(false);
        if (known) changes.Publish(ChangeKind.Orbit, item.Key);
        return true;
    }

    // The newest orbit none of whose hours waits to be decoded or retrieved: an orbit is computed once its data are through, not after every hour of them.
    private WorkItem? NextOrbit(string kind)
    {
        var items = stores.Work.Peek(kind, OrbitsLookedAt);
        if (items.Count == 0) return null;
        var waiting = stores.Work.Peek(WorkKinds.Decode, HoursLookedAt).Concat(stores.Work.Peek(WorkKinds.Retrieve, HoursLookedAt)).Select(w => w.Key).ToHashSet();
        return items.FirstOrDefault(i => Mission!.Orbits.Of((int)i.Key) is not { } orbit || !Overlaps(waiting, Hour.Of(orbit.Start), Hour.Of(orbit.End)));
    }

    private static bool Overlaps(HashSet<long> hours, long first, long last)
    {
        for (var hour = first; hour <= last; hour++)
            if (hours.Contains(hour)) return true;
        return false;
    }

    private enum Assessment
    {
        /// <summary>When enough orbits wait to be worth it.</summary>
        WhenMany,
        /// <summary>When anything waits that is not about winds alone.</summary>
        BeforeWinds,
        /// <summary>When anything waits.</summary>
        All,
    }

    private async Task<bool> AssessAsync(Assessment when, CancellationToken cancel)
    {
        var items = stores.Work.Peek(WorkKinds.Assess, MarksLookedAt);
        var pressing = items.Count(i => i.Priority > WorkKinds.AfterWinds);
        var isDue = when switch
        {
            Assessment.WhenMany => pressing > 0 && pressing >= Math.Max(ManyOrbits, stores.Orbits.Count / ShareOfOrbits),
            Assessment.BeforeWinds => pressing > 0,
            _ => items.Count > 0,
        };
        if (!isDue) return false;
        IReadOnlyList<WorkItem> assessed = [];
        IReadOnlyList<FlagChange> changed = [];
        // One run for all marked orbits: no one of them can be told from the others.
        if (!await units.RunAsync(items[0], async () => (assessed, changed) = await assess.RunAsync(Mission!, cancel).ConfigureAwait(false), items).ConfigureAwait(false)) return true;
        foreach (var item in assessed) changes.Publish(ChangeKind.Orbit, item.Key);
        if (changed.Count > 0)
        {
            changes.Publish(ChangeKind.Flag);
            log.LogInformation("{Count} flags changed on orbits {First} to {Last}.", changed.Count, changed.Min(c => c.After.FirstOrbit), changed.Max(c => c.After.LastOrbit));
        }
        return true;
    }
}
