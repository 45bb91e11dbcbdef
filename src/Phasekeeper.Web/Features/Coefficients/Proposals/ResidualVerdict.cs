using System.Globalization;
using Phasekeeper.Core.Coefficients.Evidence;

namespace Phasekeeper.Web.Features.Coefficients.Proposals;

/// <summary>What became of a residual.</summary>
public enum ResidualOutcome
{
    /// <summary>Smaller, by more than its scatter from orbit to orbit.</summary>
    Better,
    /// <summary>Larger, by more than its scatter.</summary>
    Worse,
    /// <summary>The same within its scatter.</summary>
    Same,
    /// <summary>Nothing tells its scatter.</summary>
    NotTold,
}

/// <summary>Says in words whether a residual is better, worse or the same.</summary>
public static class ResidualVerdict
{
    // Chosen: one in twenty by chance.
    private const double Sigmas = 2;

    // Chosen: a thousandth is no change to anybody, however certain.
    private const double LeastChange = 0.001;

    /// <summary>The outcome.</summary>
    public static ResidualOutcome Of(ResidualFigures figures)
    {
        ArgumentNullException.ThrowIfNull(figures);
        var change = figures.RmsAfter / figures.RmsBefore - 1;
        // Before any question of scatter: what no number touches is the same.
        if (IsUntouched(figures)) return ResidualOutcome.Same;
        if (!double.IsFinite(change) || !double.IsFinite(figures.RatioSigma)) return ResidualOutcome.NotTold;
        return change < -Sigmas * figures.RatioSigma ? ResidualOutcome.Better : change > Sigmas * figures.RatioSigma ? ResidualOutcome.Worse : ResidualOutcome.Same;
    }

    /// <summary>True where no number of the set touches the residual: it is the same to a thousandth.</summary>
    public static bool IsUntouched(ResidualFigures? figures) => figures is null || figures.RmsAfter.Equals(figures.RmsBefore) || Math.Abs(figures.RmsAfter / figures.RmsBefore - 1) < LeastChange;

    /// <summary>One word or two, for the mark.</summary>
    public static string Word(ResidualOutcome outcome) => outcome switch
    {
        ResidualOutcome.Better => "better",
        ResidualOutcome.Worse => "worse",
        ResidualOutcome.Same => "same",
        _ => "not told",
    };

    /// <summary>State that the mark is drawn as.</summary>
    public static string State(ResidualOutcome outcome) => outcome switch
    {
        ResidualOutcome.Better => "good",
        ResidualOutcome.Worse => "warning",
        _ => "withdrawn",
    };

    /// <summary>By how much, in words.</summary>
    public static string Words(ResidualFigures figures)
    {
        ArgumentNullException.ThrowIfNull(figures);
        if (figures.RmsAfter.Equals(figures.RmsBefore)) return "unchanged";
        var change = figures.RmsAfter / figures.RmsBefore - 1;
        if (!double.IsFinite(change)) return "nothing to compare with";
        if (Math.Abs(change) < LeastChange) return "by less than 0.1 %";
        var size = $"{Percent(change)} {(change < 0 ? "smaller" : "larger")}";
        return Of(figures) switch
        {
            ResidualOutcome.NotTold => size + "; too few orbits tell its scatter",
            ResidualOutcome.Same => $"within its scatter ({size}, ± {Percent(figures.RatioSigma)})",
            _ => $"{size} (± {Percent(figures.RatioSigma)})",
        };
    }

    private static string Percent(double share) => (Math.Abs(share) < 0.1 ? (100 * Math.Abs(share)).ToString("0.#", CultureInfo.InvariantCulture) : (100 * Math.Abs(share)).ToString("0", CultureInfo.InvariantCulture)) + " %";
}
