using System.Globalization;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Web.Shared.Numbers;

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
    /// <summary>It moves, and the air in it keeps anybody from telling better from worse.</summary>
    Moved,
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

    /// <summary>The outcome for a kind of residual: where the air is in it, a change must be larger than what the air does, or is not judged at all.</summary>
    public static ResidualOutcome Of(string measure, ResidualFigures figures)
    {
        var outcome = Of(figures);
        if (outcome is ResidualOutcome.Same) return outcome;
        if (!ResidualMeasures.IsJudged(measure)) return double.IsFinite(figures.MeanAfter - figures.MeanBefore) ? ResidualOutcome.Moved : ResidualOutcome.NotTold;
        return Math.Abs(figures.RmsAfter - figures.RmsBefore) < ResidualMeasures.AirMs(measure) ? ResidualOutcome.Same : outcome;
    }

    /// <summary>By how much, in words, for a kind of residual.</summary>
    public static string Words(string measure, ResidualFigures figures)
    {
        ArgumentNullException.ThrowIfNull(figures);
        if (Of(measure, figures) == ResidualOutcome.Moved) return $"mean from {FigureText.Of(figures.MeanBefore)} to {FigureText.Of(figures.MeanAfter)}; the air is in it";
        if (Of(measure, figures) == ResidualOutcome.Same && Of(figures) != ResidualOutcome.Same) return $"within the {FigureText.Of(ResidualMeasures.AirMs(measure))} m/s that the air does ({Words(figures)})";
        return Words(figures);
    }

    /// <summary>True where no number of the set touches the residual: it is the same to a thousandth.</summary>
    public static bool IsUntouched(ResidualFigures? figures) => figures is null || figures.RmsAfter.Equals(figures.RmsBefore) || Math.Abs(figures.RmsAfter / figures.RmsBefore - 1) < LeastChange;

    /// <summary>One word or two, for the mark.</summary>
    public static string Word(ResidualOutcome outcome) => outcome switch
    {
        ResidualOutcome.Better => "better",
        ResidualOutcome.Worse => "worse",
        ResidualOutcome.Same => "same",
        ResidualOutcome.Moved => "moved",
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

    /// <summary>How many measurements stand behind it with either set, words.</summary>
    public static string Counts(ResidualFigures figures)
    {
        ArgumentNullException.ThrowIfNull(figures);
        return figures is { MeasuredBefore: { } before, MeasuredAfter: { } after }
            ? string.Create(CultureInfo.InvariantCulture, $"{before} measurements with the set in force, {after} with the proposed one; compared on {figures.Orbits} orbits")
            : string.Create(CultureInfo.InvariantCulture, $"{figures.Points} measurements on {figures.Orbits} orbits");
    }

    /// <summary>What the proposed set loses or gains, words; null where it measures the same, or nothing was counted.</summary>
    public static string? Loss(ResidualFigures figures)
    {
        ArgumentNullException.ThrowIfNull(figures);
        if (figures is not { MeasuredBefore: { } before, MeasuredAfter: { } after } || (before == after && figures.Lost == 0)) return null;
        return figures is { Lost: > 0, MostLostOrbit: { } worst }
            ? string.Create(CultureInfo.InvariantCulture, $"{figures.Lost} of {before} measurements lost ({100 * figures.LostShare():0.#} %), most on orbit {worst}; {after} are left")
            : string.Create(CultureInfo.InvariantCulture, $"{after} measurements instead of {before}");
    }

    private static string Percent(double share) => (Math.Abs(share) < 0.1 ? (100 * Math.Abs(share)).ToString("0.#", CultureInfo.InvariantCulture) : (100 * Math.Abs(share)).ToString("0", CultureInfo.InvariantCulture)) + " %";
}
