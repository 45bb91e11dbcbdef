using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Orbit;

/// <summary>
/// Keeps the last few orbits that pages looked at, because the plots of one page ask for the same orbit at once; drops those that a change touches.
/// </summary>
public sealed class OrbitCache(Stores stores, PipelineEngine engine, ChangeFeed changes) : BackgroundService
{
    // Chosen: some browsers on different orbits; one orbit takes about a megabyte.
    private const int Most = 12;
    private readonly OrbitInputReader reader = new(stores);
    private readonly Lock gate = new();
    private readonly List<(int Number, Lazy<OrbitContents?> Contents)> kept = [];

    /// <summary>An orbit; null when the mission does not know it (or is still being loaded).</summary>
    public OrbitContents? Get(int number)
    {
        Lazy<OrbitContents?> wanted;
        lock (gate)
        {
            var at = kept.FindIndex(k => k.Number == number);
            wanted = at >= 0 ? kept[at].Contents : new(() => Read(number));
            if (at >= 0) kept.RemoveAt(at);
            kept.Insert(0, (number, wanted));
            if (kept.Count > Most) kept.RemoveAt(Most);
        }
        try
        {
            return wanted.Value;
        }
        catch
        {
            // A failure is for the one who asked; the next one tries again.
            lock (gate) kept.RemoveAll(k => ReferenceEquals(k.Contents, wanted));
            throw;
        }
    }

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        await foreach (var set in changes.SubscribeAsync(TimeSpan.Zero, stoppingToken))
            foreach (var change in set) Drop(change);
    }

    private void Drop(Change change)
    {
        if (change.Kind is ChangeKind.Flag or ChangeKind.Ingest or ChangeKind.Quarantine) return;
        lock (gate)
            kept.RemoveAll(k => change switch
            {
                { Kind: ChangeKind.Orbit, Key: { } orbit } => Math.Abs(k.Number - orbit) <= OrbitInput.ReachOrbits,
                { Kind: ChangeKind.Hour, Key: { } hour } when engine.Mission?.Orbits.Of(k.Number) is { } slot => Touches(slot, hour),
                _ => true,
            });
    }

    private static bool Touches(OrbitSlot slot, long hour)
    {
        var reachS = OrbitInput.ReachOrbits * (slot.End - slot.Start);
        return Hour.Start(hour) < slot.End.AddSeconds(reachS) && Hour.End(hour) > slot.Start.AddSeconds(-reachS);
    }

    private OrbitContents? Read(int number)
    {
        if (engine.Mission is not { } mission || mission.Orbits.Of(number) is not { } slot) return null;
        var sky = OrbitSky.Of(slot, mission);
        var input = reader.Read(slot, mission, stores.Archive.LastPacketTime ?? Instant.MinValue, sky);
        return new OrbitContents(slot, mission, sky, new OrbitAnalysis(input));
    }
}
