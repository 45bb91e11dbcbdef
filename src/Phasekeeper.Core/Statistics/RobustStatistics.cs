namespace Phasekeeper.Core.Statistics;

/// <summary>
/// Location and scale that a few wrong values cannot move. Inputs are finite numbers in any order; an empty input gives NaN.
/// References: P. J. Huber, Robust Statistics (1981), sections 5 and 6.7.
/// </summary>
public static class RobustStatistics
{
    /// <summary>1/Φ⁻¹(3/4): turns a MAD into the σ of a normal distribution.</summary>
    public const double MadToSigma = 1.4826022185056018;

    /// <summary>√(π/2): σ of the median of n normal values over σ/√n, for large n.</summary>
    public const double MedianSigmaFactor = 1.2533141373155003;

    /// <summary>Middle value; mean of the two middle ones for an even number.</summary>
    public static double Median(IReadOnlyCollection<double> values)
    {
        if (values.Count == 0) return double.NaN;
        var sorted = values.ToArray();
        Array.Sort(sorted);
        var half = sorted.Length / 2;
        return sorted.Length % 2 == 1 ? sorted[half] : 0.5 * (sorted[half - 1] + sorted[half]);
    }

    /// <summary>Median of |x − centre|; centre NaN = the median.</summary>
    public static double Mad(IReadOnlyCollection<double> values, double centre = double.NaN)
    {
        var c = double.IsNaN(centre) ? Median(values) : centre;
        return Median(values.Select(v => Math.Abs(v - c)).ToArray());
    }

    /// <summary>MAD as a normal σ.</summary>
    public static double MadSigma(IReadOnlyCollection<double> values) => MadToSigma * Mad(values);

    /// <summary>1σ of the median of independent values: 1.2533·MAD-σ/√n; NaN below three values.</summary>
    public static double MedianSigma(IReadOnlyCollection<double> values) =>
        values.Count < 3 ? double.NaN : MedianSigmaFactor * MadSigma(values) / Math.Sqrt(values.Count);
}
