using System.Data;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>Orbits to compute again because data in some stretches changed: those that hold the data, and those that lean on them.</summary>
/// <param name="Own">Orbits whose own data changed.</param>
/// <param name="Leaning">Orbits within reach of these, and orbits that waited for mission time to pass them.</param>
public sealed record OrbitMarks(IReadOnlyList<long> Own, IReadOnlyList<long> Leaning)
{
    /// <summary>Marks for changes in some stretches (both ends included).</summary>
    public static OrbitMarks Of(IReadOnlyList<TimeStretch> changed, MissionState mission, Stores stores)
    {
        var holding = changed.SelectMany(s => mission.Orbits.In(s.Start, s.End.AddSeconds(1e-9))).Select(o => o.Number).Distinct().Order().ToArray();
        // Mission time may have passed orbits that waited for it, however far back.
        var over = stores.Archive.LastPacketTime is { } missionTime ? stores.Orbits.ProvisionalBefore(missionTime, OrbitInput.ReachOrbits) : [];
        // An orbit that is not there yet is computed when its own data come.
        var leaning = holding.SelectMany(Dependents).Concat(changed.SelectMany(s => Before(s, mission))).Distinct().Except(holding).ToArray();
        var there = leaning.Length == 0 ? [] : stores.Orbits.Between(leaning.Min(), leaning.Max()).ToHashSet();
        return new([.. holding.Select(o => (long)o)], [.. leaning.Where(there.Contains).Concat(over).Except(holding).Distinct().Order().Select(o => (long)o)]);
    }

    /// <summary>Orbits whose values lean on an orbit: smoothing reaches both ways, baselines and the thermal lag reach forward.</summary>
    public static IEnumerable<int> Dependents(int orbit) =>
        Enumerable.Range(orbit - OrbitInput.ReachOrbits, OrbitInput.ReachOrbits + OrbitInput.RecentOrbits + 1);

    // Orbits differ in length by parts of a second: the window of the orbit before those in reach may end within the stretch.
    private static IEnumerable<int> Before(TimeStretch changed, MissionState mission) =>
        mission.Orbits.In(changed.Start, changed.Start.AddSeconds(1e-9)).Select(o => mission.Orbits.Of(o.Number - OrbitInput.ReachOrbits - 1)).OfType<OrbitSlot>()
            .Where(o => o.End.AddSeconds(OrbitInput.ReachOrbits * (o.End - o.Start)) > changed.Start).Select(o => o.Number);

    /// <summary>Writes the marks.</summary>
    public void Write(IDbTransaction transaction, Instant now)
    {
        WorkQueue.Mark(transaction, WorkKinds.Orbit, Own, now);
        WorkQueue.Mark(transaction, WorkKinds.OrbitAgain, Leaning, now);
    }
}
