using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>What the parts of a fit write into.</summary>
internal sealed class FitDraft(CoefficientSet set)
{
    /// <summary>The set that the fit begins from.</summary>
    public CoefficientSet From { get; } = set;

    /// <summary>The set with what was fitted so far.</summary>
    public CoefficientSet Set { get; set; } = set;

    /// <summary>Fitted numbers, in any order.</summary>
    public List<FittedNumber> Numbers { get; } = [];

    /// <summary>Warnings.</summary>
    public List<FitWarning> Warnings { get; } = [];

    /// <summary>Samples added to the map.</summary>
    public List<BadSample> NewBadSamples { get; } = [];

    /// <summary>Changes the optics of a view and line.</summary>
    public void Optics(string view, string line, Func<OpticsCoefficients, OpticsCoefficients> change) =>
        Set = Set with { Optics = [.. Set.Optics.Select(o => o.View == view && o.Line == line ? change(o) : o)] };

    /// <summary>A number determined by a regression.</summary>
    public void Add(FitPart part, string number, string? view, string? line, string unit, double before, double after, double sigma, ClusteredFit fit) =>
        Numbers.Add(new(part, number, view, line, null, unit, before, after, sigma, fit.Used, fit.Rejected, fit.Weights.Count(c => c.Any(w => w > 0))));

    /// <summary>A number that stays.</summary>
    public void NotDetermined(string text, string? view = null, string? line = null) => Warnings.Add(new(FitWarningCodes.NotDetermined, text, view, line));

    /// <summary>Hardly any range.</summary>
    public void LittleRange(string text, string? view = null, string? line = null) => Warnings.Add(new(FitWarningCodes.LittleRange, text, view, line));
}
