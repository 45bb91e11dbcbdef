using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Winds;

/// <summary>
/// One orbit: corrected phases → winds along the line of sight. Two passes: every exposure alone, then again with the change of the wind along its rays from
/// the exposures before and after it, so a result depends on exactly three exposures (and on this orbit's drift). A result whose inputs have not changed is kept; the
/// others are made in parallel, each from its inputs alone, so the order of the work changes nothing.
/// </summary>
public sealed class WindStage(Stores stores, TimeProvider clock)
{
    private readonly WindSceneReader scenes = new(stores);

    /// <summary>Runs one item; gives how many exposures (of a view and line) had to be made anew.</summary>
    public async Task<int> RunAsync(WorkItem item, MissionState mission, Instant missionTime, CancellationToken cancel)
    {
        var number = (int)item.Key;
        var kept = stores.Winds.OfOrbit(number);
        var sequences = mission.Orbits.Of(number) is { } orbit ? scenes.Read(orbit, mission, missionTime) : [];
        var (winds, made) = Retrieve(number, sequences, kept, cancel);
        var same = made == 0 && winds.Count == kept.Count;
        long[] vectors = same ? [number] : [number, .. stores.Winds.OrbitsWithWinds(number - 1, number + 1).Where(o => o != number).Select(o => (long)o)];
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            if (!same) WindStore.ReplaceOrbit(t, number, winds);
            WorkQueue.Mark(t, WorkKinds.Vectors, vectors, now);
            WorkQueue.Clear(t, item);
        }, cancel).ConfigureAwait(false);
        return made;
    }

    internal static (IReadOnlyList<StoredLosWind> Winds, int Made) Retrieve(
        int orbit, IReadOnlyList<WindScene[]> sequences, IReadOnlyList<StoredLosWind> kept, CancellationToken cancel, int? atOnce = null)
    {
        var known = kept.ToDictionary(k => (k.Profile.Time, k.Profile.Exposure, k.Profile.View, k.Profile.Line));
        var tasks = sequences.SelectMany(s => WindTask.Of(s, known)).ToArray();
        var open = tasks.Where(t => t.Kept is null).ToArray();
        // First pass: all that a wind still to be made looks at. The lines of an exposure and view share their path geometry.
        var first = open.SelectMany(t => t.Trio).OfType<SceneTask>().Distinct()
            .GroupBy(s => (s.Scene.Fringe.Result.Time, s.Scene.Fringe.Result.Exposure, s.Scene.View)).Select(g => g.ToArray()).ToArray();
        var parallel = new ParallelOptions { MaxDegreeOfParallelism = atOnce ?? Environment.ProcessorCount, CancellationToken = cancel };
        Parallel.ForEach(first, parallel, group =>
        {
            var paths = LimbPaths.TryBuild(group[0].Scene.Looks.Looks[group[0].Scene.View]);
            foreach (var scene in group) scene.Alone(paths);
        });
        var winds = new StoredLosWind[tasks.Length];
        Parallel.For(0, tasks.Length, parallel, i => winds[i] = tasks[i].Kept is { } same ? same with { Orbit = orbit } : tasks[i].Make(orbit));
        return ([.. winds.OrderBy(w => w.Profile.Time).ThenBy(w => w.Profile.Exposure).ThenBy(w => w.Profile.View, StringComparer.Ordinal).ThenBy(w => w.Profile.Line, StringComparer.Ordinal)], open.Length);
    }
}
