using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Fits;

namespace Phasekeeper.Web.Features.Coefficients.Proposals;

/// <summary>One number that a proposal changes, or that its fit determined.</summary>
/// <param name="Number">Where it stands in the contract's JSON.</param>
/// <param name="View">View; null where it does not apply.</param>
/// <param name="Line">Line; null where it does not apply.</param>
/// <param name="Index">Place in a list; null for a single number.</param>
/// <param name="Unit">Unit; 1 for a ratio.</param>
/// <param name="Before">In the set that is compared with.</param>
/// <param name="After">In the proposed set.</param>
/// <param name="Sigma">1σ of the fit; NaN where none is known.</param>
/// <param name="Remark">What the two numbers do not say.</param>
/// <param name="Points">Measurements used; 0 where no fit determined it.</param>
/// <param name="Orbits">Orbits with measurements.</param>
public sealed record ChangedNumber(string Number, string? View, string? Line, string? Index, string Unit, double Before, double After, double Sigma, string? Remark, int Points, int Orbits)
{
    /// <summary>Change in units of its 1σ; NaN without one.</summary>
    public double ChangeSigmas => (After - Before) / Sigma;

    /// <summary>Size by which numbers are put in order: the change in σ; without one its share of the number itself.</summary>
    public double Weight => double.IsFinite(ChangeSigmas) ? Math.Abs(ChangeSigmas) : Math.Abs((After - Before) / (Before == 0 ? 1 : Before));
}

/// <summary>A line of the table: a single number, or all of a list (such as the zero-wind phases of all rows) that change.</summary>
/// <param name="Members">The numbers, in their order.</param>
/// <param name="Largest">The one that changes by most.</param>
public sealed record NumberGroup(IReadOnlyList<ChangedNumber> Members, ChangedNumber Largest);

/// <summary>What a proposal changes: what differs from the set that it is compared with, with the fit's σ where it has one.</summary>
public static class ChangedNumbers
{
    /// <summary>From how many σ on a change is shown at once (chosen: one in twenty by chance).</summary>
    public const double ShownFromSigmas = 2;

    /// <summary>Groups, the largest change in σ first; those without a σ stand before all, since nothing says that they are small.</summary>
    /// <param name="differences">What differs.</param>
    /// <param name="fitted">Numbers of the fit; also those that came out as they were.</param>
    public static IReadOnlyList<NumberGroup> Of(IReadOnlyList<CoefficientDifference> differences, IReadOnlyList<FittedNumber> fitted)
    {
        ArgumentNullException.ThrowIfNull(differences);
        ArgumentNullException.ThrowIfNull(fitted);
        var fits = fitted.GroupBy(f => (f.Number, f.View, f.Line, f.Index)).ToDictionary(g => g.Key, g => g.First());
        var changed = differences.Select(d => fits.GetValueOrDefault((d.Number, d.View, d.Line, d.Index)) is { } f
            ? new ChangedNumber(d.Number, d.View, d.Line, d.Index, d.Unit, d.Before, d.After, f.Sigma, d.Remark, f.Points, f.Orbits)
            : new ChangedNumber(d.Number, d.View, d.Line, d.Index, d.Unit, d.Before, d.After, double.NaN, d.Remark, 0, 0)).ToList();
        var known = changed.Select(c => (c.Number, c.View, c.Line, c.Index)).ToHashSet();
        changed.AddRange(fits.Where(f => !known.Contains(f.Key)).Select(f => f.Value)
            .Select(f => new ChangedNumber(f.Number, f.View, f.Line, f.Index, f.Unit, f.Before, f.After, f.Sigma, null, f.Points, f.Orbits)));
        return [.. changed.GroupBy(c => (c.Number, c.View, c.Line)).Select(g => new NumberGroup([.. g], g.MaxBy(c => c.Weight)!))
            .OrderByDescending(g => double.IsNaN(g.Largest.ChangeSigmas)).ThenByDescending(g => g.Largest.Weight)];
    }

    /// <summary>True where a line is shown at once, false where it is folded away.</summary>
    public static bool IsShown(NumberGroup group) => !(Math.Abs(group.Largest.ChangeSigmas) < ShownFromSigmas);
}
