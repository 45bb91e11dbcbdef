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
        var stored = stores.Orbits.Touching(from, to).Select(o => o.Orbit).ToHashSet();
        var hours = stores.Fringes.Hours(from, to);
        return [.. stored.Select(mission.Orbits.Of).Concat(hours.SelectMany(h => mission.Orbits.In(Hour.Start(h), Hour.End(h))).Select(o => (OrbitSlot?)o)).OfType<OrbitSlot>().DistinctBy(o => o.Number)
            .Where(o => o.Start >= from && o.Start < to && (stored.Contains(o.Number) || stores.Fringes.Hours(o.Start, o.End).Count > 0)).OrderBy(o => o.Number)];
    }
}
