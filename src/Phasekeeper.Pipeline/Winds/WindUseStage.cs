using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Core.ZeroWind;
using Phasekeeper.Pipeline.Comparison;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.ZeroWind;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Winds;

/// <summary>
/// One orbit whose winds and vectors are made: condenses them for the zero wind, and lays them beside independent winds. Marks the days whose zero wind looks back on this orbit when
/// its sums are other than before: at most <see cref="ZeroWindOptions.WindowDays"/>, and none beyond mission time.
/// </summary>
public sealed class WindUseStage(Stores stores, TimeProvider clock)
{
    private readonly IndependentWindLibrary library = new(stores);

    /// <summary>Runs one item.</summary>
    public async Task RunAsync(WorkItem item, MissionState mission, Instant missionTime, CancellationToken cancel)
    {
        var number = (int)item.Key;
        OrbitWindSums? sums = null;
        byte[] zero = [];
        IReadOnlyList<(long, IReadOnlyList<ComparisonPair>)> pairs = [];
        var known = mission.Orbits.Of(number);
        if (known is { } orbit && mission.Coefficients.At(orbit.Start) is { } coefficients)
        {
            var winds = stores.Winds.OfOrbit(number);
            sums = WindSums.Of(orbit, winds, mission);
            zero = WindSums.ZeroPhases(coefficients.Set);
            pairs = Pairs(orbit, winds);
        }
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            var changed = WindSumStore.Replace(t, number, sums, zero);
            ComparisonStore.ReplaceOrbit(t, number, known?.Start ?? Instant.MinValue, pairs);
            if (known is { } slot) WorkQueue.Mark(t, WorkKinds.ZeroWind, Days(slot, changed, mission, missionTime), now);
            WorkQueue.Clear(t, item);
        }, cancel).ConfigureAwait(false);
    }

    // The day's own value stands on its first orbit, whatever that orbit's winds; the days after it look back on them.
    private long[] Days(OrbitSlot orbit, bool changed, MissionState mission, Instant missionTime)
    {
        var day = orbit.Start.ToUnixDay().UnixDay;
        var days = changed ? ZeroWindStage.DaysLookingBackOn(day, missionTime) : [];
        return [.. ZeroWindStage.FirstOrbitOf(day, mission, stores) == orbit.Number ? days.Append(day) : days];
    }

    private List<(long, IReadOnlyList<ComparisonPair>)> Pairs(OrbitSlot orbit, IReadOnlyList<StoredLosWind> winds)
    {
        var vectors = stores.WindVectors.OfOrbit(orbit.Number);
        var sets = new List<(long, IReadOnlyList<ComparisonPair>)>();
        foreach (var (file, matcher) in library.In(orbit.Start, orbit.End.AddSeconds(WindVectorMatcher.LongestSeconds)))
            sets.Add((file, [.. winds.SelectMany(w => matcher.Of(w.Profile, orbit.Number)), .. vectors.SelectMany(v => v.Vectors).SelectMany(v => matcher.Of(v, orbit.Number))]));
        return sets;
    }
}
