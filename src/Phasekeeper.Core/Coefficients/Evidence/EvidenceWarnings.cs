using System.Globalization;
using Phasekeeper.Core.Coefficients.Fits;

namespace Phasekeeper.Core.Coefficients.Evidence;

/// <summary>What the comparison of residuals asks to weigh.</summary>
public static class EvidenceWarnings
{
    /// <summary>σ of the ratio by which residuals must have grown (chosen: with some forty measures looked at in two groups of orbits, chance speaks once in twenty proposals).</summary>
    public const double WorseSigmas = 3;

    /// <summary>Growth below which nobody need be told, also where it is certain (chosen: 2 % of a residual are hundredths of a m/s).</summary>
    public const double LeastGrowth = 0.02;

    /// <summary>Growth that is told where orbits are too few for a σ (chosen).</summary>
    public const double GrowthWithoutSigma = 0.1;

    /// <summary>Move of a residual that the air is in from which it is told, m/s (chosen: the precision asked of a wind).</summary>
    public const double LeastMoveMs = 2;

    /// <summary>Share of measurements from whose loss on it is told (chosen: less moves no root mean square by what anybody would call a change).</summary>
    public const double LeastLost = 0.01;

    /// <summary>Warnings in the order of the changes: first what became worse, then what was lost.</summary>
    /// <param name="changes">From <see cref="ProposalResiduals.Compare"/>.</param>
    /// <param name="heldOutOrbits">Number of orbits that were held out, of both kinds.</param>
    public static IReadOnlyList<FitWarning> Of(IReadOnlyList<ResidualChange> changes, int heldOutOrbits)
    {
        ArgumentNullException.ThrowIfNull(changes);
        var lost = changes.SelectMany(c => new[] { Lost(c, c.Fitted, "of the fit"), Lost(c, c.HeldOut, "held out"), Lost(c, c.HeldOutLater, Later) }).OfType<FitWarning>();
        if (heldOutOrbits == 0)
            return [new(FitWarningCodes.NothingHeldOut, "No orbit was held out: nothing here says how the set does on orbits that its fit has not seen."), .. lost];
        return [.. changes.SelectMany(c => new[] { Worse(c, c.HeldOut, "held out"), Worse(c, c.HeldOutLater, Later), Moved(c) }).OfType<FitWarning>(), .. lost];
    }

    private const string Later = "held out that come after those of the fit";

    private static FitWarning? Worse(ResidualChange c, ResidualFigures? f, string which)
    {
        if (f is null || !ResidualMeasures.IsJudged(c.Measure) || !(f.RmsAfter - f.RmsBefore > ResidualMeasures.AirMs(c.Measure))) return null;
        var growth = f.RmsAfter / f.RmsBefore - 1;
        var told = double.IsNaN(f.RatioSigma) ? growth >= GrowthWithoutSigma : growth >= LeastGrowth && growth >= WorseSigmas * f.RatioSigma;
        if (!told) return null;
        var sigma = double.IsNaN(f.RatioSigma) ? "too few orbits for an uncertainty" : string.Create(CultureInfo.InvariantCulture, $"the ratio is {growth + 1:0.00} ± {f.RatioSigma:0.00}");
        return new(FitWarningCodes.WorseHeldOut, string.Create(CultureInfo.InvariantCulture,
            $"On {Orbits(f.Orbits)} {which} the {c.Measure} residual grows from {f.RmsBefore:G3} to {f.RmsAfter:G3} {(c.Unit == "1" ? "of the reference" : c.Unit)} ({sigma})."), c.View, c.Line);
    }

    // On the later orbits where there are such: once is enough.
    private static FitWarning? Moved(ResidualChange c)
    {
        var (f, which) = c.HeldOutLater is not null ? (c.HeldOutLater, Later) : (c.HeldOut, "held out");
        if (f is null || ResidualMeasures.IsJudged(c.Measure) || !(Math.Abs(f.MeanAfter - f.MeanBefore) >= LeastMoveMs)) return null;
        return new(FitWarningCodes.WindsMoved, string.Create(CultureInfo.InvariantCulture,
            $"On {Orbits(f.Orbits)} {which} the {c.Measure} residual moves from {f.MeanBefore:G3} to {f.MeanAfter:G3} {c.Unit}. The air itself is in it, so it says by how much winds move and not whether that is better."), c.View, c.Line);
    }

    private static FitWarning? Lost(ResidualChange c, ResidualFigures? f, string which) => f is null || !(f.LostShare() > LeastLost) ? null
        : new(FitWarningCodes.MeasurementsLost, string.Create(CultureInfo.InvariantCulture,
            $"With the proposed set {f.Lost} of {f.MeasuredBefore} {Noun(c.Measure)} behind the {c.Measure} residual are lost ({100 * f.LostShare():0.0} %) on the orbits {which}, most of them on orbit {f.MostLostOrbit}: what is left may look better for that alone."), c.View, c.Line);

    private static string Noun(string measure) => measure switch
    {
        ResidualMeasures.ScenePhase or ResidualMeasures.SceneTemperature => "rows of scenes",
        ResidualMeasures.GreenRed => "rows with both lines",
        ResidualMeasures.WindGreenRed or ResidualMeasures.WindGreenRedTemperature => "pairs of winds",
        ResidualMeasures.WindLegs => "bins of winds",
        _ => "exposures",
    };

    private static string Orbits(int n) => n == 1 ? "1 orbit" : string.Create(CultureInfo.InvariantCulture, $"{n} orbits");
}
