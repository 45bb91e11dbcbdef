using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>Whether numbers of a set made by hand go against the direction in which they have aged. A fit says so of its own numbers, with their σ; here there is none, so every change counts.</summary>
internal static class HandAgeing
{
    /// <summary>What to weigh, in the order of the differences; of a fit nothing.</summary>
    public static IEnumerable<FitWarning> Of(FitDocument? fit, CoefficientSet before, CoefficientSet after, IReadOnlyList<OrbitSlot> orbits, MissionState mission, Stores stores)
    {
        if (fit is not null || orbits.Count == 0) yield break;
        // Numbers with a tracker behind them that tells a direction; of the others no warning could ever be given.
        CoefficientDifference[] changed = [.. CoefficientDifferences.Between(before, after).Where(d => AgeingTracker.All.Any(a => a.Number == d.Number))];
        if (changed.Length == 0) yield break;
        // From before the orbits that are looked at, as for a fit: these are what the set is judged by.
        var ageing = new FitAround(stores, mission).Ageing(orbits[0].Start, orbits[^1]);
        foreach (var d in changed)
            if (AgeingDirection.Against(d.Number, d.View, d.Line, d.Before, d.After, ageing) is { } rising)
                yield return new(FitWarningCodes.AgainstAgeing, $"{d.Number} has been {(rising ? "rising" : "falling")} before the orbits that were looked at, and this set makes it {(rising ? "smaller" : "larger")}.", d.View, d.Line);
        var unknown = changed.Where(d => !ageing.Any(t => AgeingDirection.Concerns(t, d.Number, d.View, d.Line))).Select(d => d.Number).Distinct().ToArray();
        if (unknown.Length > 0)
            yield return new(FitWarningCodes.NotMeasured, $"Whether the change goes against ageing could not be looked at for {string.Join(", ", unknown)}: before the orbits that were looked at there are too few values of the trackers behind {(unknown.Length == 1 ? "it" : "them")}.");
    }
}
