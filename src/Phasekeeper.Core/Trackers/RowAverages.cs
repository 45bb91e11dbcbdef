using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Trackers;

/// <summary>Averages over the usable rows of exposures.</summary>
internal static class RowAverages
{
    /// <summary>
    /// Median over exposures of each exposure's weighted mean over usable rows. σ: from the scatter of the exposures when there are at least five,
    /// else from the rows' σ. Null without a usable row.
    /// </summary>
    public static (double Mean, double Sigma, int N)? Of(IEnumerable<FringeResult> exposures, Func<FringeResult, double[]> value, Func<FringeResult, double[]> sigma)
    {
        List<double> means = [], sigmas = [];
        foreach (var f in exposures)
        {
            if (OfOne(f, value(f), sigma(f)) is not { } one) continue;
            means.Add(one.Mean);
            sigmas.Add(one.Sigma);
        }
        if (means.Count == 0) return null;
        var median = RobustStatistics.Median(means);
        var fromRows = RobustStatistics.MedianSigmaFactor * RobustStatistics.Median(sigmas) / Math.Sqrt(means.Count);
        return (median, means.Count >= 5 ? Math.Max(RobustStatistics.MedianSigma(means), fromRows) : fromRows, means.Count);
    }

    /// <summary>Weighted mean over the usable rows of one exposure.</summary>
    public static (double Mean, double Sigma)? OfOne(FringeResult f, double[] value, double[] sigma)
    {
        double sum = 0, weights = 0;
        for (var r = 0; r < value.Length; r++)
        {
            if (f.Status[r] != RowStatus.Ok || !double.IsFinite(value[r]) || !(sigma[r] > 0)) continue;
            var w = 1 / (sigma[r] * sigma[r]);
            sum += w * value[r];
            weights += w;
        }
        return weights > 0 ? (sum / weights, 1 / Math.Sqrt(weights)) : null;
    }
}
