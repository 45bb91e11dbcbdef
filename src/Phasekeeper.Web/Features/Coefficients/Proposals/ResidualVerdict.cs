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

    /// <summary>The outcome.</summary>
    public static ResidualOutcome Of(ResidualFigures figures)
    {
        ArgumentNullException.ThrowIfNull(figures);
        // Before any question of scatter: what no number touches is the same to the last bit.
        if (figures.RmsAfter.Equals(figures.RmsBefore)) return ResidualOutcome.Same;
        var change = figures.RmsAfter / figures.RmsBefore - 1;
        if (!double.IsFinite(change) || !double.IsFinite(figures.RatioSigma)) return ResidualOutcome.NotTold;
        return change < -Sigmas * figures.RatioSigma ? ResidualOutcome.Better : change > Sigmas * figures.RatioSigma ? ResidualOutcome.Worse : ResidualOutcome.Same;
    }

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
        var percent = Math.Abs(100 * change);
        var size = string.Create(CultureInfo.InvariantCulture, $"{(percent < 10 ? percent.ToString("0.#", CultureInfo.InvariantCulture) : percent.ToString("0", CultureInfo.InvariantCulture))} % {(change < 0 ? "smaller" : "larger")}");
        return Of(figures) switch
        {
            ResidualOutcome.NotTold => size + "; too few orbits tell its scatter",
            ResidualOutcome.Same => string.Create(CultureInfo.InvariantCulture, $"same within its scatter ({size}, ± {100 * figures.RatioSigma:0.#} %)"),
            _ => string.Create(CultureInfo.InvariantCulture, $"{size} (± {100 * figures.RatioSigma:0.#} %)"),
        };
    }
}
