namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Median and MAD of a handful of values, as baselines of rules need them.</summary>
public static class BaselineStatistics
{
    /// <summary>1/Φ⁻¹(3/4): turns the median absolute deviation of Gaussian values into σ.</summary>
    public const double MadToSigma = 1.4826022185056018;

    /// <summary>Median; NaN when there is none.</summary>
    public static double Median(IReadOnlyCollection<double> values)
    {
        if (values.Count == 0) return double.NaN;
        var sorted = values.Order().ToArray();
        var middle = sorted.Length / 2;
        return sorted.Length % 2 == 1 ? sorted[middle] : 0.5 * (sorted[middle - 1] + sorted[middle]);
    }

    /// <summary>Robust σ from the median absolute deviation about a centre.</summary>
    public static double RobustSigma(IReadOnlyCollection<double> values, double centre) =>
        MadToSigma * Median([.. values.Select(v => Math.Abs(v - centre))]);
}
