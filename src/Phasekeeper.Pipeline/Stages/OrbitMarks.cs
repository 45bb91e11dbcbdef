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
    // Chosen: a day, the unit of a mission without an orbit; for real orbits it only delays the end of "provisional" where data stop.
    private const double LongestOrbitS = 86400;

    /// <summary>Marks for changes in some stretches (both ends included).</summary>
    public static OrbitMarks Of(IReadOnlyList<TimeStretch> changed, MissionState mission, Stores stores)
    {
        var holding = changed.SelectMany(s => mission.Orbits.In(s.Start, s.End.AddSeconds(1e-9))).Select(o => o.Number).Distinct().Order().ToArray();
        // Mission time may have passed orbits that waited for it, however far back.
        var over = stores.Archive.LastPacketTime is { } missionTime ? stores.Orbits.ProvisionalBefore(missionTime.AddSeconds(-OrbitInput.ReachOrbits * LongestOrbitS)) : [];
        // An orbit that is not there yet is computed when its own data come.
        var leaning = holding.SelectMany(Dependents).Distinct().Except(holding).ToArray();
        var there = leaning.Length == 0 ? [] : stores.Orbits.Between(leaning.Min(), leaning.Max()).ToHashSet();
        return new([.. holding.Select(o => (long)o)], [.. leaning.Where(there.Contains).Concat(over).Except(holding).Distinct().Order().Select(o => (long)o)]);
    }

    /// <summary>Orbits whose values lean on an orbit: smoothing reaches both ways, baselines and the thermal lag reach forward.</summary>
    public static IEnumerable<int> Dependents(int orbit) =>
        Enumerable.Range(orbit - OrbitInput.ReachOrbits, OrbitInput.ReachOrbits + OrbitInput.RecentOrbits + 1);

    /// <summary>Writes the marks.</summary>
    public void Write(IDbTransaction transaction, Instant now)
    {
        WorkQueue.Mark(transaction, WorkKinds.Orbit, Own, now);
        WorkQueue.Mark(transaction, WorkKinds.OrbitAgain, Leaning, now);
    }
}
