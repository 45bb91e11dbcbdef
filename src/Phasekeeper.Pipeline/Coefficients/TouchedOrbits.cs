using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients;

/// <summary>Orbits that a set in force over a stretch is about.</summary>
internal static class TouchedOrbits
{
    /// <summary>Orbits that begin within [from, to) and have products, or fringes from which they will be made; ascending.</summary>
    public static OrbitSlot[] In(Instant from, Instant to, MissionState mission, Stores stores)
    {
        var stored = stores.Orbits.BeginningIn(from, to).ToHashSet();
        var fresh = stores.Fringes.HoursBetween(Hour.Of(from), Hour.Of(to)).SelectMany(h => mission.Orbits.In(Hour.Start(h), Hour.End(h)))
            .Where(o => o.Start >= from && o.Start < to && !stored.Contains(o.Number)).DistinctBy(o => o.Number).Where(o => stores.Fringes.Hours(o.Start, o.End).Count > 0);
        return [.. stored.Select(mission.Orbits.Of).OfType<OrbitSlot>().Where(o => o.Start >= from && o.Start < to).Concat(fresh.ToArray()).OrderBy(o => o.Number)];
    }
}
