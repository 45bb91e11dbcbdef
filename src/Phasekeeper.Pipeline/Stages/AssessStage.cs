using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>
/// Brings statistics, flags and verdicts in line with orbits whose values changed. Runs for all marked orbits at once: charts run forward from the first change,
/// and rules look beyond the orbits that changed.
/// </summary>
public sealed class AssessStage(Stores stores, ChannelStatistics channels, TimeProvider clock)
{
    // Chosen: some three months; a new version of a rule may mark years of orbits, and the inputs of all of them are no memory's business. Newest first, so the rest follows in the next run.
    private const int MostOrbits = 1500;
    private readonly ChartKeeper charts = new(stores);
    private readonly FactsCache facts = new();

    /// <summary>Runs all marked orbits, and those on which the charts change with them; gives the orbits and the flags that changed.</summary>
    public async Task<(IReadOnlyList<WorkItem> Items, IReadOnlyList<FlagChange> Changes)> RunAsync(MissionState mission, CancellationToken cancel)
    {
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await charts.UpdateAsync(mission.Coefficients, now, cancel).ConfigureAwait(false);
        var items = stores.Work.Peek(WorkKinds.Assess, MostOrbits);
        var source = new RuleInputSource(stores, mission, channels, facts);
        var changes = FlagRound.Run(mission.RuleVersions, [.. items.Select(i => (int)i.Key)], source, pending => new RuleInputSource(stores, mission, channels, facts, pending), mission.Activities);
        await stores.Database.WriteAsync(t =>
        {
            FlagWriter.Write(t, changes, now);
            // With the marks: whoever sees none left sees the verdicts too, and a kill leaves no orbit with an old one.
            SetVerdicts(t, items, changes);
            foreach (var item in items) WorkQueue.Clear(t, item);
        }, cancel).ConfigureAwait(false);
        return (items, changes);
    }

    private static void SetVerdicts(System.Data.IDbTransaction transaction, IReadOnlyList<WorkItem> items, IReadOnlyList<FlagChange> changes)
    {
        var orbits = items.Select(i => (int)i.Key).ToHashSet();
        foreach (var flag in changes.SelectMany(c => new[] { c.Before, c.After }).OfType<Flag>())
            for (var orbit = flag.FirstOrbit; orbit <= flag.LastOrbit; orbit++) orbits.Add(orbit);
        if (orbits.Count == 0) return;
        var flags = FlagStore.OfOrbits(transaction, orbits.Min(), orbits.Max());
        foreach (var orbit in orbits.Order().Select(o => OrbitStore.Get(transaction, o)).OfType<OrbitRow>())
        {
            var (verdict, reasons) = OrbitVerdict.Of(orbit, flags);
            OrbitStore.SetVerdict(transaction, orbit.Orbit, verdict, reasons);
        }
    }
}
