namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>What a fit made of a window of orbits.</summary>
public sealed record CoefficientFitResult
{
    /// <summary>The set that the fit began from, with the fitted numbers in it; name and validity are still those of the set before.</summary>
    public required CoefficientSet Set { get; init; }
    /// <summary>Fitted numbers, in the order of the set's JSON.</summary>
    public required IReadOnlyList<FittedNumber> Numbers { get; init; }
    /// <summary>Samples that were added to the map of bad samples.</summary>
    public IReadOnlyList<BadSample> NewBadSamples { get; init; } = [];
    /// <summary>Orbits that were used, ascending.</summary>
    public required IReadOnlyList<int> Orbits { get; init; }
    /// <summary>What to weigh.</summary>
    public IReadOnlyList<FitWarning> Warnings { get; init; } = [];
}
