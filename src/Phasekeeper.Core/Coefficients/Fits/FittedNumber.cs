namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>A number of the set that a fit has determined.</summary>
/// <param name="Part">The part that it belongs to.</param>
/// <param name="Number">Where it stands in the set, as in <see cref="CoefficientNumber"/>.</param>
/// <param name="View">View; null where it does not apply.</param>
/// <param name="Line">Line; null where it does not apply.</param>
/// <param name="Index">Place in a list; null for a single number.</param>
/// <param name="Unit">Unit; 1 for a ratio.</param>
/// <param name="Before">In the set that the fit began from.</param>
/// <param name="After">Fitted.</param>
/// <param name="Sigma">1σ of <paramref name="After"/>, with the scatter from orbit to orbit; NaN where none can be told.</param>
/// <param name="Points">Measurements used.</param>
/// <param name="Rejected">Measurements that were left out as outliers.</param>
/// <param name="Orbits">Orbits with measurements.</param>
public sealed record FittedNumber(FitPart Part, string Number, string? View, string? Line, string? Index, string Unit, double Before, double After, double Sigma, int Points, int Rejected, int Orbits)
{
    /// <summary>Change in units of its 1σ; NaN without a σ.</summary>
    public double ChangeSigmas => (After - Before) / Sigma;
}
