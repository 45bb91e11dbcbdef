using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>Keeps the winds of orbits that pages looked at, because a day's panels, map and profile ask for the same ones; drops those that a change touches.</summary>
public sealed class WindCache(Stores stores, PipelineEngine engine, ChangeFeed changes) : BackgroundService
{
    // Chosen: four days; an orbit takes some megabytes.
    private const int Most = 64;
    private readonly Lock gate = new();
    private readonly Dictionary<int, (Lazy<OrbitWinds> Winds, long Used)> kept = [];
    private long uses;

    /// <summary>Orbits that begin on a UTC day, in order, those without winds left out.</summary>
    public IReadOnlyList<OrbitWinds> OfDay(MissionState mission, DateOnly date)
    {
        ArgumentNullException.ThrowIfNull(mission);
        var (from, to) = (Instant.StartOf(date), Instant.StartOf(date.AddDays(1)));
        OrbitSlot[] slots = [.. mission.Orbits.CountsDays ? [] : mission.Orbits.In(from, to).Where(o => o.Start >= from)];
        if (slots.Length == 0) return [];
        var withWinds = stores.WindVectors.OrbitsWithVectors(slots[0].Number, slots[^1].Number).ToHashSet();
        // Orbits are read beside each other: a day that nobody has looked at yet is fifteen of them.
        return [.. slots.Where(s => withWinds.Contains(s.Number)).AsParallel().AsOrdered().Select(Get)];
    }

    /// <summary>One orbit; null when the mission does not know it.</summary>
    public OrbitWinds? OfOrbit(MissionState mission, int number)
    {
        ArgumentNullException.ThrowIfNull(mission);
        return mission.Orbits.CountsDays || mission.Orbits.Of(number) is not { } slot ? null : Get(slot);
    }

    private OrbitWinds Get(OrbitSlot slot)
    {
        Lazy<OrbitWinds> wanted;
        lock (gate)
        {
            // An orbit whose limits moved is another one.
            wanted = kept.TryGetValue(slot.Number, out var found) && found.Winds is { } known && (!known.IsValueCreated || known.Value.Slot == slot)
                ? known : new(() => OrbitWinds.Read(stores, engine.Mission!, slot));
            kept[slot.Number] = (wanted, ++uses);
            if (kept.Count > Most) kept.Remove(kept.MinBy(k => k.Value.Used).Key);
        }
        try
        {
            return wanted.Value;
        }
        catch
        {
            // A failure is for the one who asked; the next one tries again.
            lock (gate)
                if (kept.TryGetValue(slot.Number, out var failed) && ReferenceEquals(failed.Winds, wanted)) kept.Remove(slot.Number);
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
        lock (gate)
        {
            if (change.Kind is ChangeKind.Auxiliary or ChangeKind.Coefficients) kept.Clear();
            else if (change.Kind is ChangeKind.Orbit or ChangeKind.Winds)
            {
                if (change.Key is { } orbit) kept.Remove((int)orbit);
                else kept.Clear();
            }
        }
    }
}
