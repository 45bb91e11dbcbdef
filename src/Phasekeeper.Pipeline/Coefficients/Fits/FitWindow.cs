using System.Globalization;
using Phasekeeper.Pipeline.Coefficients.Trials;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Fits;

/// <summary>The orbits of a fit, and the set that it begins from.</summary>
/// <param name="Fitted">Orbits to fit, ascending.</param>
/// <param name="HeldOut">Orbits held out, ascending.</param>
/// <param name="From">The set in force at the end of the window.</param>
internal sealed record FitWindow(IReadOnlyList<OrbitSlot> Fitted, IReadOnlyList<OrbitSlot> HeldOut, CoefficientsInForce From)
{
    /// <summary>Longest window, orbits (chosen: a month; slow numbers such as the lamp's ageing do not stand still for longer).</summary>
    public const int LongestOrbits = 450;

    /// <summary>Most orbits that are read: of a longer window some, evenly spread (chosen: four days; some 2 MB an orbit with either set, half a minute in all).</summary>
    public const int MostOrbits = 60;

    /// <summary>All orbits that are read, ascending.</summary>
    public IEnumerable<OrbitSlot> All => Fitted.Concat(HeldOut).OrderBy(o => o.Number);

    /// <summary>Checks a request and chooses its orbits.</summary>
    /// <exception cref="DecisionRefusedException">It cannot be fitted.</exception>
    public static FitWindow Of(FitRequest request, MissionState mission, Stores stores)
    {
        if (mission.Instrument is not { } instrument) throw new DecisionRefusedException(RefusalKind.Conflict, "This mission has no instrument (housekeeping only), so it has no coefficients.");
        if (request.Parts.Count == 0) throw Invalid("Found no part to fit; expected at least one.");
        if (request.HoldOutEvery is < 0 or 1) throw Invalid(string.Create(CultureInfo.InvariantCulture, $"Found holdOutEvery {request.HoldOutEvery}; expected 0 (none) or from 2 on (every other orbit)."));
        if (request.LastOrbit < request.FirstOrbit) throw Invalid(string.Create(CultureInfo.InvariantCulture, $"Found the orbits {request.FirstOrbit} to {request.LastOrbit}; expected the first one first."));
        if (request.LastOrbit - (long)request.FirstOrbit + 1 > LongestOrbits)
            throw Invalid(string.Create(CultureInfo.InvariantCulture, $"Found a window of {request.LastOrbit - (long)request.FirstOrbit + 1} orbits; expected up to {LongestOrbits}."));
        foreach (var number in new[] { request.FirstOrbit, request.LastOrbit })
            if (mission.Orbits.Of(number) is null) throw Invalid(string.Create(CultureInfo.InvariantCulture, $"Found the orbit {number}, which no orbit file tells of; expected one that is known."));
        var orbits = LookedAtOrbits.Complete(request.FirstOrbit, request.LastOrbit, mission, stores);
        if (orbits.Count == 0)
            throw Invalid(string.Create(CultureInfo.InvariantCulture, $"Orbits {request.FirstOrbit} to {request.LastOrbit} have no data, or are not complete with their neighbours yet; expected complete orbits{Known(stores)}."));
        var chosen = LookedAtOrbits.Spread(orbits, MostOrbits);
        // The middle one of every few, so that neither end of the window is left to extrapolation.
        bool IsHeldOut(int i) => request.HoldOutEvery > 0 && i % request.HoldOutEvery == request.HoldOutEvery / 2;
        OrbitSlot[] fitted = [.. chosen.Where((_, i) => !IsHeldOut(i))];
        var inForce = DecidedTimeline.Of(stores.Coefficients.Decisions(), mission.Orbits).At(chosen[^1].Start)
            ?? throw new InvalidOperationException($"No coefficient set is in force at {chosen[^1].Start}: the first one of a mission counts from the beginning, so the store has lost it.");
        return new(fitted, [.. chosen.Where((_, i) => IsHeldOut(i))], CoefficientSets.Stored(stores, instrument, inForce.SetId));
    }

    private static string Known(Stores stores) =>
        stores.Orbits.First is { } first && stores.Orbits.Last is { } last ? string.Create(CultureInfo.InvariantCulture, $"; there are data of orbits {first} to {last}") : "; there are no data yet";

    private static DecisionRefusedException Invalid(string words) => new(RefusalKind.Invalid, words);
}
