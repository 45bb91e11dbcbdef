using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>What to weigh about a window and about the numbers fitted on it.</summary>
internal static class WindowWarnings
{
    /// <summary>Orbits from which the scatter from orbit to orbit is known to about a quarter (chosen: 1/√(2·7) = 27 %).</summary>
    public const int FewOrbits = 8;

    /// <summary>Change in σ from which it counts as going against ageing (chosen: 95 %, as the interval of the ageing).</summary>
    public const double AgainstSigmas = 2;

    /// <summary>Warnings in a fixed order.</summary>
    public static IEnumerable<FitWarning> Of(FitWindow window, FitSurroundings around, IReadOnlySet<FitPart> parts, IReadOnlyList<FittedNumber> numbers)
    {
        if (window.Orbits.Count < FewOrbits)
            yield return new(FitWarningCodes.FewOrbits, $"{window.Orbits.Count} orbits; from {FewOrbits} on the scatter from orbit to orbit is known to about a quarter.");
        else
            foreach (var few in numbers.Where(n => n.Orbits < FewOrbits).GroupBy(n => (n.Part, n.View, n.Line)))
                yield return new(FitWarningCodes.FewOrbits, $"{few.First().Number} stands on {few.Min(n => n.Orbits)} of {window.Orbits.Count} orbits; from {FewOrbits} on the scatter from orbit to orbit is known to about a quarter.", few.Key.View, few.Key.Line);
        foreach (var a in around.Activities.Where(a => Crosses(window, a.From, a.To)).OrderBy(a => a.From).ThenBy(a => a.Id, StringComparer.Ordinal))
            yield return new(FitWarningCodes.CrossesActivity, $"The window crosses the planned activity \"{a.Summary}\" ({a.From} to {a.To}): what it changes is in the fit.");
        foreach (var e in around.Events.Where(e => Crosses(window, e.From, e.To)).OrderBy(e => e.From).ThenBy(e => e.Text, StringComparer.Ordinal))
            yield return new(FitWarningCodes.CrossesEvent, $"The window crosses an event at {e.From}: {e.Text.TrimEnd('.')}. Before and after may want different numbers.", e.View, e.Line);
        if (parts.Overlaps([FitPart.ImageShift, FitPart.ThermalSlope, FitPart.ThermalLag, FitPart.LampReference]))
            foreach (var view in window.Instrument.Views)
                foreach (var step in ImageShiftPart.Steps(window, view.Id))
                    yield return new(FitWarningCodes.CrossesEvent, $"The image shift steps at {step}: a law fitted here has the offset after the step.", view.Id);
        foreach (var t in around.SetChanges.Where(t => t > window.Start && t < window.End).Order())
            yield return new(FitWarningCodes.CrossesSets, $"Another coefficient set came into force at {t}, within the window: trackers and flags of its two sides are measured against different sets.");
        foreach (var number in numbers)
            if (Math.Abs(number.ChangeSigmas) >= AgainstSigmas && AgeingDirection.Against(number.Number, number.View, number.Line, number.Before, number.After, around.Ageing) is { } rising)
                yield return new(FitWarningCodes.AgainstAgeing, FormattableString.Invariant($"{number.Number} has been {(rising ? "rising" : "falling")}, and the fit makes it {(rising ? "smaller" : "larger")} by {Math.Abs(number.ChangeSigmas):0.0}σ."), number.View, number.Line);
    }

    private static bool Crosses(FitWindow window, Instant from, Instant to) => from < window.End && (to > window.Start || (to == from && to == window.Start));
}
