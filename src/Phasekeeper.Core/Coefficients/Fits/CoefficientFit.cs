using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>
/// Numbers of a coefficient set from a window of orbits. Robust throughout (<see cref="Statistics.ClusteredRegression"/>): gross errors are left out and counted, and every σ holds the scatter from orbit to orbit. What cannot be determined stays as it
/// is, with a warning that says what was found and what is needed. The same orbits give the same bits in any order.
/// </summary>
public static class CoefficientFit
{
    /// <summary>Fits the parts asked for; all other numbers stay, but for Z_r, which go along with a new lamp reference so that no wind changes (<see cref="FitPart.LampReference"/>).</summary>
    /// <param name="from">Set to begin from; all fringes of the orbits were retrieved with it.</param>
    /// <param name="instrument">The instrument.</param>
    /// <param name="orbits">Orbits of the window, each once, in any order; not necessarily without gaps.</param>
    /// <param name="parts">What to fit.</param>
    /// <param name="around">What else is known of the window.</param>
    /// <exception cref="ArgumentException">No orbit, or one given twice.</exception>
    public static CoefficientFitResult Fit(CoefficientSet from, InstrumentModel instrument, IReadOnlyList<OrbitInput> orbits, IReadOnlySet<FitPart> parts, FitSurroundings around)
    {
        ArgumentNullException.ThrowIfNull(from);
        ArgumentNullException.ThrowIfNull(instrument);
        ArgumentNullException.ThrowIfNull(orbits);
        ArgumentNullException.ThrowIfNull(parts);
        ArgumentNullException.ThrowIfNull(around);
        var window = new FitWindow(from, instrument, orbits);
        var draft = new FitDraft(from);
        if (parts.Contains(FitPart.Dark)) DarkPart.Fit(draft, window);
        if (parts.Overlaps([FitPart.ThermalSlope, FitPart.ThermalLag, FitPart.LampReference])) ThermalPart.Fit(draft, window, parts);
        if (parts.Contains(FitPart.ZeroWind)) ZeroWindPart.Fit(draft, window, around.ZeroWind, around.SetChanges);
        if (parts.Contains(FitPart.Visibility)) VisibilityPart.Fit(draft, window);
        if (parts.Contains(FitPart.ImageShift)) ImageShiftPart.Fit(draft, window);
        if (parts.Contains(FitPart.BadSamples)) BadSamplesPart.Fit(draft, window);
        var order = CoefficientNumbers.Of(draft.Set).Select((n, i) => (n.Key, i)).ToDictionary(p => p.Key, p => p.i);
        FittedNumber[] numbers = [.. draft.Numbers.OrderBy(n => order[(n.Number, n.View, n.Line, n.Index)])];
        return new()
        {
            Set = draft.Set,
            Numbers = numbers,
            NewBadSamples = draft.NewBadSamples,
            Orbits = [.. window.Orbits.Select(o => o.Input.Orbit)],
            Warnings = [.. WindowWarnings.Of(window, around, parts, numbers), .. draft.Warnings],
        };
    }
}
