using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Trials;

/// <summary>Chooses orbits to look at.</summary>
internal static class LookedAtOrbits
{
    /// <summary>Orbits of a stretch that are whole, have fringes, and whose neighbours are complete; ascending.</summary>
    public static IReadOnlyList<OrbitSlot> Complete(int first, int last, MissionState mission, Stores stores) =>
        [.. stores.Orbits.Rows(first, last).Where(r => !r.Provisional && r.ReceivedExposures > 0).Select(r => mission.Orbits.Of(r.Orbit)).OfType<OrbitSlot>().Where(o => o.IsWhole).OrderBy(o => o.Number)];

    /// <summary>At most so many of a list, evenly spread, the ends included.</summary>
    public static IReadOnlyList<T> Spread<T>(IReadOnlyList<T> all, int most) => all.Count <= most ? all
        : most == 1 ? [all[all.Count / 2]] : [.. Enumerable.Range(0, most).Select(i => all[(int)Math.Round(i * (all.Count - 1.0) / (most - 1))])];
}
