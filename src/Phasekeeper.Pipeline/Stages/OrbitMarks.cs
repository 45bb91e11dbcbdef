using System.Data;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>Orbits to compute again because data in some stretches changed: those that hold the data, and those that lean on them.</summary>
/// <param name="Own">Orbits whose own data changed.</param>
/// <param name="WithinReach">Orbits that lean on these by smoothing or thermal lag: their drift, and so their winds, may change.</param>
/// <param name="Leaning">Other orbits that lean on these, and orbits that waited for mission time to pass them.</param>
public sealed record OrbitMarks(IReadOnlyList<long> Own, IReadOnlyList<long> WithinReach, IReadOnlyList<long> Leaning)
{
    /// <summary>Marks for changes in some stretches (both ends included).</summary>
    public static OrbitMarks Of(IReadOnlyList<TimeStretch> changed, MissionState mission, Stores stores)
    {
        var slots = changed.SelectMany(s => mission.Orbits.In(s.Start, s.End.AddSeconds(1e-9))).DistinctBy(o => o.Number).OrderBy(o => o.Number).ToArray();
        var holding = slots.Select(o => o.Number).ToArray();
        // Mission time may have passed orbits that waited for it, however far back.
        var over = stores.Archive.LastPacketTime is { } missionTime ? stores.Orbits.ProvisionalBefore(missionTime, OrbitInput.ReachOrbits) : [];
        // An orbit that is not there yet is computed when its own data come.
        var before = changed.SelectMany(s => Before(s, mission)).ToArray();
        var leaning = holding.SelectMany(Dependents).Concat(before).Distinct().Except(holding).ToArray();
        var there = leaning.Length == 0 ? [] : stores.Orbits.Between(leaning.Min(), leaning.Max()).ToHashSet();
        var near = slots.SelectMany(o => Enumerable.Range(o.Number - OrbitInput.ReachOrbits, OrbitInput.ReachOrbits + ReachForward(o, mission) + 1)).Concat(before).Distinct()
            .Except(holding).Where(there.Contains).ToArray();
        return new(Keys(holding), Keys(near), Keys(leaning.Where(there.Contains).Concat(over).Except(holding).Except(near)));
    }

    /// <summary>Orbits whose values lean on an orbit: smoothing reaches both ways, baselines and the thermal lag reach forward.</summary>
    public static IEnumerable<int> Dependents(int orbit) =>
        Enumerable.Range(orbit - OrbitInput.ReachOrbits, OrbitInput.ReachOrbits + OrbitInput.RecentOrbits + 1);

    // Smoothing, and before it the look-back of the lagged temperature; never beyond the dependents.
    private static int ReachForward(OrbitSlot orbit, MissionState mission)
    {
        var longestLagS = mission.Coefficients.Entries.SelectMany(e => e.Set.Optics).Select(o => o.Thermal.LagS).DefaultIfEmpty(0).Max();
        var lookBack = Math.Ceiling(LaggedTemperature.LookBackLags * longestLagS / Math.Max(orbit.End - orbit.Start, 1));
        return (int)Math.Min(OrbitInput.ReachOrbits + lookBack + 1, OrbitInput.RecentOrbits);
    }

    // The window of the orbit before those in reach may end within the stretch: orbits differ in length by parts of a second, and temperatures are read some minutes beyond.
    private static IEnumerable<int> Before(TimeStretch changed, MissionState mission) =>
        mission.Orbits.In(changed.Start, changed.Start.AddSeconds(1e-9)).Select(o => mission.Orbits.Of(o.Number - OrbitInput.ReachOrbits - 1)).OfType<OrbitSlot>()
            .Where(o => o.End.AddSeconds(OrbitInput.ReachOrbits * (o.End - o.Start) + TemperatureLookup.LongestGapS) > changed.Start).Select(o => o.Number);

    /// <summary>Writes the marks.</summary>
    public void Write(IDbTransaction transaction, Instant now)
    {
        WorkQueue.Mark(transaction, WorkKinds.Orbit, Own, now);
        WorkQueue.Mark(transaction, WorkKinds.OrbitAgain, WithinReach, now, WorkKinds.WithinReach);
        WorkQueue.Mark(transaction, WorkKinds.OrbitAgain, Leaning, now);
    }

    private static long[] Keys(IEnumerable<int> orbits) => [.. orbits.Distinct().Order().Select(o => (long)o)];
}
