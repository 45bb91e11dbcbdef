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
        var changes = Stretches(items.Select(i => (int)i.Key)).SelectMany(s => FlagEvaluator.Evaluate(mission.RuleVersions, s.First, s.Last, source, mission.Activities))
            .GroupBy(c => c.After.Id, StringComparer.Ordinal).Select(g => g.Last()).ToArray();
        // Rules about other rules' flags see them as they are now, on the orbits that changed and on those of every flag that did.
        var after = new RuleInputSource(stores, mission, channels, facts, changes);
        var orbits = items.Select(i => (int)i.Key).Concat(changes.SelectMany(c => new[] { c.Before, c.After }).OfType<Flag>().SelectMany(f => Enumerable.Range(f.FirstOrbit, f.LastOrbit - f.FirstOrbit + 1)));
        changes = [.. changes, .. Stretches(orbits).SelectMany(s => FlagEvaluator.EvaluateAfter(mission.RuleVersions, s.First, s.Last, after, mission.Activities))
            .GroupBy(c => c.After.Id, StringComparer.Ordinal).Select(g => g.Last())];
        await stores.Database.WriteAsync(t =>
        {
            FlagWriter.Write(t, changes, now);
            // With the marks: whoever sees none left sees the verdicts too, and a kill leaves no orbit with an old one.
            SetVerdicts(t, items, changes);
            foreach (var item in items) WorkQueue.Clear(t, item);
        }, cancel).ConfigureAwait(false);
        return (items, changes);
    }

    // Neighbouring orbits are evaluated together; far ones apart, so that a late orbit does not re-evaluate everything since.
    private static IEnumerable<(int First, int Last)> Stretches(IEnumerable<int> changed)
    {
        const int apart = 20;
        var orbits = changed.Distinct().Order().ToArray();
        for (var i = 0; i < orbits.Length;)
        {
            var first = orbits[i];
            var last = first;
            for (; i < orbits.Length && orbits[i] - last <= apart; i++) last = orbits[i];
            yield return (first, last);
        }
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
