using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Comparison;

/// <summary>Our winds against independent ones: differences are ours minus theirs. Numbers that too few pairs cannot give are NaN.</summary>
/// <param name="Pairs">Number of pairs.</param>
/// <param name="Encounters">Number of orbits that they come from.</param>
/// <param name="BiasMs">Mean difference, m/s.</param>
/// <param name="BiasSigmaMs">1σ of the bias; the pairs of an orbit count as one event.</param>
/// <param name="MedianMs">Median difference, m/s.</param>
/// <param name="SpreadMs">Robust spread of the differences (1.4826 MAD), m/s.</param>
/// <param name="ExpectedSpreadMs">Spread that both sides' σ let expect, m/s: √ of the mean of σ² + σ².</param>
/// <param name="Correlation">Pearson's r.</param>
/// <param name="CorrelationLow">Lower end of its 95 % interval (Fisher's z with the number of encounters).</param>
/// <param name="CorrelationHigh">Upper end.</param>
/// <param name="Line">Ours = intercept + slope · theirs, with both sides' σ; null where it cannot be fitted.</param>
public sealed record ComparisonSummary(
    int Pairs, int Encounters, double BiasMs, double BiasSigmaMs, double MedianMs, double SpreadMs, double ExpectedSpreadMs, double Correlation, double CorrelationLow, double CorrelationHigh, YorkLine? Line);

/// <summary>Statistics of pairs.</summary>
public static class ComparisonStatistics
{
    private const double Normal95 = 1.959963984540054;
    private const int LeastEncounters = 4; // Fisher's z needs more than three

    /// <summary>Statistics of pairs, in any order; null without pairs.</summary>
    public static ComparisonSummary? Of(IReadOnlyList<ComparisonPair> pairs)
    {
        if (pairs.Count == 0) return null;
        double[] difference = [.. pairs.Select(p => p.DifferenceMs)], own = [.. pairs.Select(p => p.OwnMs)], other = [.. pairs.Select(p => p.OtherMs)];
        var bias = Moments.Mean(difference);
        double[] encounters = [.. pairs.GroupBy(p => p.Orbit).OrderBy(g => g.Key).Select(g => g.Sum(p => p.DifferenceMs - bias))];
        var g = encounters.Length;
        // Cluster-robust: K.-Y. Liang, S. L. Zeger (1986), Biometrika 73, 13, doi 10.1093/biomet/73.1.13.
        var biasSigma = g < 2 ? double.NaN : Math.Sqrt(encounters.Sum(e => e * e) * g / (g - 1.0)) / pairs.Count;
        var r = Correlation(own, other);
        var (low, high) = Interval(r, g);
        var line = YorkRegression.TryFit(other, own, [.. pairs.Select(p => p.OtherSigmaMs)], [.. pairs.Select(p => p.OwnSigmaMs)]);
        return new(pairs.Count, g, bias, biasSigma, RobustStatistics.Median(difference), pairs.Count < 3 ? double.NaN : RobustStatistics.MadSigma(difference),
            Math.Sqrt(pairs.Average(p => p.OwnSigmaMs * p.OwnSigmaMs + p.OtherSigmaMs * p.OtherSigmaMs)), r, low, high, line);
    }

    /// <summary>Pearson's correlation coefficient; NaN below three values or without spread.</summary>
    public static double Correlation(IReadOnlyList<double> x, IReadOnlyList<double> y)
    {
        if (x.Count < 3) return double.NaN;
        double xMean = Moments.Mean(x), yMean = Moments.Mean(y), xx = 0, yy = 0, xy = 0;
        for (var i = 0; i < x.Count; i++)
        {
            xx += (x[i] - xMean) * (x[i] - xMean);
            yy += (y[i] - yMean) * (y[i] - yMean);
            xy += (x[i] - xMean) * (y[i] - yMean);
        }
        return xx > 0 && yy > 0 ? Math.Clamp(xy / Math.Sqrt(xx * yy), -1, 1) : double.NaN;
    }

    /// <summary>95 % interval of r from n independent pairs: tanh(artanh r ± 1.96/√(n − 3)) (R. A. Fisher (1921), Metron 1, 3). NaN below four.</summary>
    public static (double Low, double High) Interval(double r, int n)
    {
        if (double.IsNaN(r) || n < LeastEncounters) return (double.NaN, double.NaN);
        double z = Math.Atanh(Math.Clamp(r, -0.999999999999, 0.999999999999)), half = Normal95 / Math.Sqrt(n - 3);
        return (Math.Tanh(z - half), Math.Tanh(z + half));
    }
}
