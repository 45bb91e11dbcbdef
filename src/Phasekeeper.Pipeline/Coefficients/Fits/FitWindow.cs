using System.Globalization;
using Phasekeeper.Pipeline.Coefficients.Trials;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Fits;

/// <summary>The orbits of a fit, and the set that it begins from.</summary>
/// <param name="Fitted">Orbits to fit, ascending.</param>
/// <param name="HeldOut">Orbits held out among them, ascending.</param>
/// <param name="HeldOutLater">Orbits held out that are later than all that are fitted, ascending.</param>
/// <param name="From">The set in force at the end of the window.</param>
internal sealed record FitWindow(IReadOnlyList<OrbitSlot> Fitted, IReadOnlyList<OrbitSlot> HeldOut, IReadOnlyList<OrbitSlot> HeldOutLater, CoefficientsInForce From)
{
    /// <summary>Share of the window's end that is held out (chosen: coefficients are used on later orbits, so later ones are what counts; a fifth leaves three fifths to be fitted).</summary>
    public const double LaterShare = 0.2;

    /// <summary>Fewest orbits at the end that are held out (chosen: one orbit tells no scatter).</summary>
    public const int LeastLater = 2;

    /// <summary>Fewest orbits that are left before that end; a shorter window has none held out there (chosen: one held out between, and a few to fit).</summary>
    public const int LeastBefore = 4;

    /// <summary>Longest window, orbits (chosen: a month; slow numbers such as the lamp's ageing do not stand still for longer).</summary>
    public const int LongestOrbits = 450;

    /// <summary>Most orbits that are read: of a longer window some, evenly spread (chosen: four days; some 2 MB an orbit with either set, half a minute in all).</summary>
    public const int MostOrbits = 60;

    /// <summary>All orbits that are read, ascending.</summary>
    public IEnumerable<OrbitSlot> All => Fitted.Concat(HeldOut).Concat(HeldOutLater).OrderBy(o => o.Number);

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
        var later = request.HoldOutEvery == 0 ? 0 : Later(chosen.Count);
        OrbitSlot[] before = [.. chosen.SkipLast(later)];
        bool IsHeldOut(int i) => IsHeldOutBetween(i, request.HoldOutEvery);
        var inForce = DecidedTimeline.Of(stores.Coefficients.Decisions(), mission.Orbits).At(chosen[^1].Start)
            ?? throw new InvalidOperationException($"No coefficient set is in force at {chosen[^1].Start}: the first one of a mission counts from the beginning, so the store has lost it.");
        return new([.. before.Where((_, i) => !IsHeldOut(i))], [.. before.Where((_, i) => IsHeldOut(i))], [.. chosen.TakeLast(later)], CoefficientSets.Stored(stores, instrument, inForce.SetId));
    }

    /// <summary>See <see cref="FitRequest.Counts"/>.</summary>
    internal static (int Read, int HeldOut) Counts(int orbits, int holdOutEvery)
    {
        var read = Math.Min(orbits, MostOrbits);
        var later = holdOutEvery == 0 ? 0 : Later(read);
        return (read, later + Enumerable.Range(0, read - later).Count(i => IsHeldOutBetween(i, holdOutEvery)));
    }

    // The middle one of every few, so that neither end of what is fitted is left to extrapolation.
    private static bool IsHeldOutBetween(int i, int every) => every > 0 && i % every == every / 2;

    /// <summary>How many orbits at the end of a window are held out.</summary>
    internal static int Later(int orbits)
    {
        var later = Math.Max(LeastLater, (int)Math.Round(LaterShare * orbits));
        return orbits - later >= LeastBefore ? later : 0;
    }

    private static string Known(Stores stores) =>
        stores.Orbits.First is { } first && stores.Orbits.Last is { } last ? string.Create(CultureInfo.InvariantCulture, $"; there are data of orbits {first} to {last}") : "; there are no data yet";

    private static DecisionRefusedException Invalid(string words) => new(RefusalKind.Invalid, words);
}
