using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Winds;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Winds;

namespace Phasekeeper.Web.Features.WindCorrections;

/// <summary>An orbit's winds with all corrections and with one left out, on like grids.</summary>
/// <param name="Orbit">The orbit's stored winds: for its shadow and night.</param>
/// <param name="With">With all corrections, by line.</param>
/// <param name="Without">With one left out, by line.</param>
public sealed record ComparedWinds(OrbitWinds Orbit, IReadOnlyDictionary<string, WindGrid> With, IReadOnlyDictionary<string, WindGrid> Without)
{
    /// <summary>Pairs of vectors of one place, without minus with, m/s; those that are bad with all corrections are left out.</summary>
    public IEnumerable<(string Line, double EastwardMs, double NorthwardMs)> Differences()
    {
        foreach (var (line, with) in With)
        {
            var other = Without.GetValueOrDefault(line)?.Vectors.ToDictionary(v => (v.SecondExposure, v.Row)) ?? [];
            foreach (var v in with.Vectors.Where(v => v.Quality != WindQuality.Bad))
                if (other.TryGetValue((v.SecondExposure, v.Row), out var w)) yield return (line, w.EastwardMs - v.EastwardMs, w.NorthwardMs - v.NorthwardMs);
        }
    }
}

/// <summary>Makes winds with corrections left out, one orbit at a time, and keeps the last few; drops those whose orbit changed.</summary>
public sealed class CorrectionService(Stores stores, ChangeFeed changes, WindCache winds) : BackgroundService
{
    // Chosen: three orbits with all corrections.
    private const int Most = 3 * 7;
    private readonly WindRecomputation recomputation = new(stores);
    private readonly SemaphoreSlim working = new(1);
    private readonly Lock gate = new();
    private long changed;
    private readonly List<(int Orbit, WindCorrection? Off, IReadOnlyDictionary<string, WindGrid> Grids)> kept = [];

    /// <summary>An orbit with and without a correction; null when the mission does not know the orbit. Takes some seconds the first time.</summary>
    public async Task<ComparedWinds?> GetAsync(MissionState mission, int number, WindCorrection off, CancellationToken cancel)
    {
        if (winds.OfOrbit(mission, number) is not { } orbit) return null;
        return new(orbit, await GridsAsync(mission, orbit, null, cancel), await GridsAsync(mission, orbit, off, cancel));
    }

    private async Task<IReadOnlyDictionary<string, WindGrid>> GridsAsync(MissionState mission, OrbitWinds orbit, WindCorrection? off, CancellationToken cancel)
    {
        if (Find(orbit.Slot.Number, off) is { } known) return known;
        await working.WaitAsync(cancel);
        try
        {
            if (Find(orbit.Slot.Number, off) is { } meanwhile) return meanwhile;
            long before;
            lock (gate) before = changed;
            var vectors = await Task.Run(() => recomputation.Vectors(orbit.Slot, mission, stores.Archive.LastPacketTime ?? Instant.MinValue, off, cancel), cancel);
            var grids = vectors.GroupBy(v => v.Line).ToDictionary(g => g.Key, g => WindGrid.Of(orbit.Slot, orbit.CadenceS, [.. g]), StringComparer.Ordinal);
            lock (gate)
            {
                // What changed meanwhile may have changed this: shown once, not kept.
                if (changed != before) return grids;
                kept.Insert(0, (orbit.Slot.Number, off, grids));
                if (kept.Count > Most) kept.RemoveAt(Most);
            }
            return grids;
        }
        finally
        {
            working.Release();
        }
    }

    private IReadOnlyDictionary<string, WindGrid>? Find(int orbit, WindCorrection? off)
    {
        lock (gate) return kept.Find(k => k.Orbit == orbit && k.Off == off).Grids;
    }

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        await foreach (var set in changes.SubscribeAsync(TimeSpan.Zero, stoppingToken))
            foreach (var change in set.Where(c => c.Kind is ChangeKind.Winds or ChangeKind.Auxiliary or ChangeKind.Coefficients))
                lock (gate)
                {
                    changed++;
                    kept.RemoveAll(k => change.Kind switch
                    {
                        ChangeKind.Winds => change.Key is null || change.Key == k.Orbit,
                        ChangeKind.Auxiliary or ChangeKind.Coefficients => true,
                        _ => false,
                    });
                }
    }

    /// <inheritdoc/>
    public override void Dispose()
    {
        working.Dispose();
        base.Dispose();
    }
}
