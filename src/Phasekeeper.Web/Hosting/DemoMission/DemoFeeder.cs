using Microsoft.Extensions.Options;
using Phasekeeper.Demo.Feed;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Hosting.DemoMission;

/// <summary>
/// Plays the ground station of the demo mission: puts its files into the inbox like anyone's, the last 24 h first, then the days before them, and live data as
/// simulated time passes. History comes a day at a time, each when the one before is through, so that what matters now is never behind a month of it.
/// </summary>
public sealed class DemoFeeder(IOptions<PhasekeeperOptions> options, Stores stores, PipelineEngine engine, TimeProvider clock, ILogger<DemoFeeder> log) : BackgroundService
{
    private const string StateKey = "demo-feed";
    private const string WindsKey = "demo-winds";
    // Chosen: a day of history at a time. The orbits that lean on it are then computed once a day's worth, not once an orbit.
    private const int FilesAtOnce = 15;
    // Units of work that one live exposure leaves behind.
    private const int LiveWork = 6;
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(250);
    private double speed = options.Value.Demo.Speed;

    /// <summary>True when the demo mission runs (no profile was named).</summary>
    public bool IsActive { get; } = string.IsNullOrEmpty(options.Value.Profile);

    /// <summary>Mission seconds per second of the wall clock; 0 stops live data.</summary>
    public double Speed
    {
        get => Volatile.Read(ref speed);
        set => Volatile.Write(ref speed, double.IsFinite(value) ? Math.Clamp(value, 0, 10_000) : 1);
    }

    /// <summary>Share of the history that is handed over, 0…1.</summary>
    public double HistoryShare { get; private set; }

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        if (!IsActive) return;
        await Task.Yield();
        await engine.Ready.WaitAsync(stoppingToken).ConfigureAwait(false);
        var generator = new ScenarioGenerator(DemoScenario.Default);
        var feed = new DemoFeed(generator, stores.Settings.Get(StateKey) is { } json ? FeedState.FromJson(json) : null);
        var missionNow = feed.State.LiveTo;
        var last = clock.GetTimestamp();
        var batch = 0;
        await PutWindsAsync(generator, stoppingToken).ConfigureAwait(false);
        while (!stoppingToken.IsCancellationRequested)
        {
            HistoryShare = feed.HistoryShare;
            missionNow = missionNow.AddSeconds(clock.GetElapsedTime(last).TotalSeconds * Speed);
            last = clock.GetTimestamp();
            // The recent orbits come first of all; live data begin when they are through.
            var recent = feed.NextHistory() is { Kind: FeedItemKind.Recent } first ? first : null;
            if (batch == 0 && IsIdle()) batch = FilesAtOnce;
            var item = recent ?? feed.NextLive(missionNow) ?? (batch > 0 ? feed.NextHistory() : null);
            if (item is { Kind: FeedItemKind.History or FeedItemKind.Late }) batch--;
            if (item is null)
            {
                await Task.Delay(Pause, clock, stoppingToken).ConfigureAwait(false);
                continue;
            }
            await PutAsync(feed, item, stoppingToken).ConfigureAwait(false);
            if (feed.NextHistory() is null && HistoryShare < 1) log.LogInformation("The demo's history is complete; live data go on at {Speed} times real time.", Speed);
        }
    }

    // Once: a person who deletes the set does not get it back.
    private async Task PutWindsAsync(ScenarioGenerator generator, CancellationToken cancel)
    {
        if (stores.Settings.Get(WindsKey) is not null) return;
        await MoveInAsync("ground-stations.csv", System.Text.Encoding.UTF8.GetBytes(generator.StationWinds(generator.Scenario.Start, generator.Scenario.FirstNow)), cancel).ConfigureAwait(false);
        await stores.Settings.SetAsync(WindsKey, "handed over", cancel).ConfigureAwait(false);
    }

    private async Task PutAsync(DemoFeed feed, FeedItem item, CancellationToken cancel)
    {
        await MoveInAsync(item.FileName, feed.Content(item), cancel).ConfigureAwait(false);
        feed.Written(item);
        await stores.Settings.SetAsync(StateKey, feed.State.ToJson(), cancel).ConfigureAwait(false);
    }

    private async Task MoveInAsync(string name, byte[] content, CancellationToken cancel)
    {
        var folder = stores.Database.Folder;
        // Written beside the inbox and moved in whole: the watcher never sees a part.
        var part = Path.Combine(folder.Root, name + ".part");
        await File.WriteAllBytesAsync(part, content, cancel).ConfigureAwait(false);
        File.SetLastWriteTimeUtc(part, clock.GetUtcNow().UtcDateTime.AddSeconds(-5));
        File.Move(part, Path.Combine(folder.Inbox, name), overwrite: true);
    }

    // Live data never let the queue run dry for long: history goes on when all but the newest orbits are through.
    private bool IsIdle() => stores.Work.Count().Where(w => w.Key != WorkKinds.Assess).Sum(w => w.Value) <= LiveWork && !Directory.EnumerateFiles(stores.Database.Folder.Inbox).Any();
}
