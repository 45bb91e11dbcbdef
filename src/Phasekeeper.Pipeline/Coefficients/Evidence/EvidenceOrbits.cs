using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Pipeline.Coefficients.Trials;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>
/// Orbits that evidence looks at. "Held out" is of what a fit is fitted to: an orbit's own lamps, scenes and darks. The image shift s(t) of a fitted orbit is smoothed over its neighbours
/// (<see cref="Core.Trackers.OrbitInput.ReachOrbits"/>), so that fiducials of orbits held out between come into it; those of orbits held out later come into that of the last two that were fitted alone.
/// </summary>
/// <param name="Fitted">Of the fit, ascending.</param>
/// <param name="HeldOut">Not seen by any fit, among those of the fit, ascending; of a set by hand all.</param>
/// <param name="HeldOutLater">Not seen by the fit and later than all that it has seen, ascending.</param>
internal sealed record EvidenceOrbits(IReadOnlyList<OrbitSlot> Fitted, IReadOnlyList<OrbitSlot> HeldOut, IReadOnlyList<OrbitSlot> HeldOutLater)
{
    /// <summary>Orbits looked at for a set that no fit made (chosen: under three days; charts need thirty orbits to speak).</summary>
    public const int ByHandOrbits = 40;

    /// <summary>Orbits whose winds are made with both sets (chosen: half a second of one processor each time).</summary>
    public const int WindOrbits = 6;

    /// <summary>All, ascending.</summary>
    public IReadOnlyList<OrbitSlot> All { get; } = [.. Fitted.Concat(HeldOut).Concat(HeldOutLater).OrderBy(o => o.Number)];

    private readonly HashSet<int> fitted = [.. Fitted.Select(o => o.Number)], later = [.. HeldOutLater.Select(o => o.Number)];

    /// <summary>As what an orbit is looked at.</summary>
    public OrbitUse Use(int orbit) => fitted.Contains(orbit) ? OrbitUse.Fitted : later.Contains(orbit) ? OrbitUse.HeldOutLater : OrbitUse.HeldOut;

    /// <summary>Those whose winds are made: half of them held out, where there are such.</summary>
    public IReadOnlyList<OrbitSlot> ForWinds()
    {
        var held = LookedAtOrbits.Spread([.. HeldOut.Concat(HeldOutLater)], Fitted.Count == 0 ? WindOrbits : WindOrbits / 2);
        return [.. held.Concat(LookedAtOrbits.Spread(Fitted, WindOrbits - held.Count)).OrderBy(o => o.Number)];
    }

    /// <summary>Of a fit its own; else complete orbits around the start, half of them from it on, as far as there are such.</summary>
    public static EvidenceOrbits Of(FitDocument? fit, Instant start, MissionState mission, Stores stores)
    {
        if (fit is not null)
        {
            var window = LookedAtOrbits.Complete(fit.Request.FirstOrbit, fit.Request.LastOrbit, mission, stores);
            OrbitSlot[] Of(IReadOnlyList<int> orbits) => [.. window.Where(o => orbits.Contains(o.Number))];
            return new(Of(fit.Fitted), Of(fit.HeldOut), Of(fit.HeldOutLater));
        }
        if (stores.Orbits.First is not { } first || stores.Orbits.Last is not { } last) return new([], [], []);
        // By number: a start beyond all data lies behind the last orbit.
        var at = Math.Clamp(stores.Orbits.FirstEndingAfter(start) ?? last + 1, first, last + 1);
        var after = LookedAtOrbits.Complete(at, at + 2 * ByHandOrbits, mission, stores);
        var before = LookedAtOrbits.Complete(at - 2 * ByHandOrbits, at - 1, mission, stores);
        var fromStart = Math.Max(ByHandOrbits / 2, ByHandOrbits - before.Count);
        OrbitSlot[] chosen = [.. before.TakeLast(ByHandOrbits - Math.Min(fromStart, after.Count)), .. after.Take(fromStart)];
        return new([], chosen, []);
    }
}
