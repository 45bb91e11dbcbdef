using System.Globalization;
using Phasekeeper.Core.Coefficients.Fits;

namespace Phasekeeper.Core.Coefficients.Evidence;

/// <summary>What the comparison of residuals asks to weigh.</summary>
public static class EvidenceWarnings
{
    /// <summary>σ of the ratio by which residuals must have grown (chosen: with some twenty measures looked at, chance speaks once in forty proposals).</summary>
    public const double WorseSigmas = 3;

    /// <summary>Growth below which nobody need be told, also where it is certain (chosen: 2 % of a residual are hundredths of a m/s).</summary>
    public const double LeastGrowth = 0.02;

    /// <summary>Growth that is told where orbits are too few for a σ (chosen).</summary>
    public const double GrowthWithoutSigma = 0.1;

    /// <summary>Warnings in the order of the changes.</summary>
    /// <param name="changes">From <see cref="ProposalResiduals.Compare"/>.</param>
    /// <param name="heldOutOrbits">Number of orbits that were held out.</param>
    public static IReadOnlyList<FitWarning> Of(IReadOnlyList<ResidualChange> changes, int heldOutOrbits)
    {
        ArgumentNullException.ThrowIfNull(changes);
        if (heldOutOrbits == 0)
            return [new(FitWarningCodes.NothingHeldOut, "No orbit was held out: nothing here says how the set does on orbits that its fit has not seen.")];
        List<FitWarning> warnings = [];
        foreach (var c in changes)
        {
            if (c.HeldOut is not { } f || !(f.RmsAfter > f.RmsBefore)) continue;
            var growth = f.RmsAfter / f.RmsBefore - 1;
            var told = double.IsNaN(f.RatioSigma) ? growth >= GrowthWithoutSigma : growth >= LeastGrowth && growth >= WorseSigmas * f.RatioSigma;
            if (!told) continue;
            var sigma = double.IsNaN(f.RatioSigma) ? "too few orbits for an uncertainty" : string.Create(CultureInfo.InvariantCulture, $"the ratio is {growth + 1:0.00} ± {f.RatioSigma:0.00}");
            warnings.Add(new(FitWarningCodes.WorseHeldOut, string.Create(CultureInfo.InvariantCulture,
                $"On {f.Orbits} orbits held out the {c.Measure} residual grows from {f.RmsBefore:G3} to {f.RmsAfter:G3} {(c.Unit == "1" ? "of the reference" : c.Unit)} ({sigma})."), c.View, c.Line));
        }
        return warnings;
    }
}
