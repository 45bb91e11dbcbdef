using System.Data;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients;

/// <summary>
/// Makes orbits again after a decision, batch by batch, newest first, when nothing else is to be done. An orbit that waits keeps the set that its products have, also for data that come meanwhile; so no orbit
/// is ever made of two sets, and holding it at any moment leaves every orbit whole. All it knows stands in the store: a start goes on where the last one ended.
/// </summary>
public sealed class Reprocessing(Stores stores, TimeProvider clock)
{
    private long? begun;

    /// <summary>Orbits taken into work together. Chosen: a day; some twenty seconds, after which a hold takes effect. Orbits at a batch's older end are computed twice (smoothing reaches over it).</summary>
    public int BatchOrbits { get; set; } = 15;

    /// <summary>Takes up a decision: says which orbits have to be made again. The mission's state is to be loaded anew afterwards.</summary>
    public async Task TakeUpAsync(WorkItem item, MissionState mission, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(item);
        ArgumentNullException.ThrowIfNull(mission);
        var decisions = stores.Coefficients.Decisions();
        var stretch = DecidedTimeline.Of(decisions.Where(d => d.Id <= item.Key), mission.Orbits).Single(s => s.Decision == item.Key);
        var before = DecidedTimeline.Of(decisions.Where(d => d.Id < item.Key), mission.Orbits);
        var waiting = stores.Reprocessing.Orbits().Where(o => !o.IsWorking).ToDictionary(o => (int)o.Orbit, o => o.SetId);
        var orbits = TouchedOrbits.In(stretch.From, stretch.To, mission, stores);
        // What the products of an orbit have, or are being made with.
        var had = orbits.Select(o => (o.Number, Set: waiting.TryGetValue(o.Number, out var kept) ? kept : before.At(o.Start)?.SetId ?? stretch.SetId)).ToArray();
        var again = had.Where(o => o.Set != stretch.SetId).ToArray();
        var outside = OutsideOrbits(stretch, mission);
        long[] assessed = [.. stores.Orbits.Touching(stretch.From, stretch.To).Select(o => (long)o.Orbit)];
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            ReprocessingStore.TakeOver(t, had.Where(o => o.Set == stretch.SetId).Select(o => o.Number));
            ReprocessingStore.Add(t, new()
            {
                Decision = item.Key,
                FromTime = stretch.From,
                ToTime = stretch.To == Instant.MaxValue ? null : stretch.To,
                FirstOrbit = again.Length > 0 ? again[0].Number : null,
                LastOrbit = again.Length > 0 ? again[^1].Number : null,
                Orbits = again.Length,
                Started = now,
            });
            ReprocessingStore.Put(t, item.Key, again);
            ReprocessingStore.Close(t, now);
            if (again.Length > 0 && !ReprocessingStore.IsPausedIn(t)) WorkQueue.Mark(t, WorkKinds.Reprocess, 0, now);
            WorkQueue.Mark(t, WorkKinds.Retrieve, outside, now);
            // Charts and ages of coefficients count from the decision, also where the numbers are the same.
            WorkQueue.Mark(t, WorkKinds.Assess, assessed, now);
            WorkQueue.Clear(t, item);
        }, cancel).ConfigureAwait(false);
    }

    /// <summary>
    /// Once everything that was marked is through: notes the orbits in work as done and takes the next ones. False when there is nothing to do; true: the mission's coefficients are to be loaded anew.
    /// </summary>
    public async Task<bool> StepAsync(MissionState mission, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(mission);
        var orbits = stores.Reprocessing.Orbits();
        var item = stores.Work.Peek(WorkKinds.Reprocess) is [var marked] ? marked : null;
        // An orbit of which a part failed is not through: it stays in work until that part is made, or another decision takes it.
        var failed = SetAside.Orbits(stores.Work.Aside(), mission);
        var through = orbits.Where(o => o.IsWorking && !failed.Contains((int)o.Orbit)).Select(o => (int)o.Orbit).ToArray();
        if (item is null && through.Length == 0) return false;
        // Held: what was in work is through, and nothing new begins.
        var batch = item is null ? [] : orbits.Where(o => !o.IsWorking).OrderByDescending(o => o.Orbit).Take(BatchOrbits).ToArray();
        var former = batch.ToDictionary(o => o.Orbit, o => stores.Winds.OfOrbit((int)o.Orbit).Select(FormerWind.Of).ToArray());
        var hours = batch.Select(o => mission.Orbits.Of((int)o.Orbit)).OfType<OrbitSlot>().SelectMany(o => stores.Fringes.Hours(o.Start, o.End)).Distinct().Order().ToArray();
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        var ms = begun is { } start ? clock.GetElapsedTime(start).TotalMilliseconds : (double?)null;
        await stores.Database.WriteAsync(t =>
        {
            ReprocessingStore.FinishWorking(t, through, ms);
            foreach (var orbit in batch) FormerWindStore.Keep(t, orbit.Decision, former[orbit.Orbit]);
            ReprocessingStore.SetWorking(t, batch.Select(o => (int)o.Orbit));
            WorkQueue.Mark(t, WorkKinds.Retrieve, hours, now);
            // Also an orbit without fringes names its set.
            WorkQueue.Mark(t, WorkKinds.Orbit, batch.Select(o => o.Orbit), now);
            ReprocessingStore.Close(t, now);
            if (item is not null && batch.Length == 0) WorkQueue.Clear(t, item);
        }, cancel).ConfigureAwait(false);
        begun = batch.Length > 0 ? clock.GetTimestamp() : null;
        return true;
    }

    // Hours with fringes that belong to no orbit: nothing else is made of them, so they need no waiting.
    private long[] OutsideOrbits(DecidedStretch stretch, MissionState mission) =>
        [.. stores.Fringes.Hours(stretch.From, stretch.To).Where(h => !Covered(h, mission))];

    private static bool Covered(long hour, MissionState mission)
    {
        var at = Hour.Start(hour);
        foreach (var orbit in mission.Orbits.In(Hour.Start(hour), Hour.End(hour)))
            if (orbit.Start > at) return false;
            else at = orbit.End;
        return at >= Hour.End(hour);
    }
}
