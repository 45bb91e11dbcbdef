using MathNet.Numerics.Distributions;
using MathNet.Numerics.Statistics;

namespace Phasekeeper.Core.Statistics;

/// <summary>A trend that up to 29 % of wrong values cannot turn.</summary>
/// <param name="Slope">Median of all pairwise slopes, y per t.</param>
/// <param name="Intercept">median(y) − slope·median(t).</param>
/// <param name="SlopeLow">Lower end of the slope's confidence interval.</param>
/// <param name="SlopeHigh">Upper end.</param>
public readonly record struct TheilSenResult(double Slope, double Intercept, double SlopeLow, double SlopeHigh);

/// <summary>
/// Theil–Sen slope with the confidence interval from Kendall's statistic, Siegel's repeated medians, Kendall's τ-b.
/// References: P. K. Sen (1968), J. Am. Stat. Assoc. 63, 1379, doi 10.1080/01621459.1968.10480934; A. F. Siegel (1982), Biometrika 69, 242;
/// M. G. Kendall (1970), Rank Correlation Methods. Cost n² in time and memory: thin out series of more than a few thousand points.
/// </summary>
public static class TheilSen
{
    /// <summary>Trend; null when fewer than two different t are given.</summary>
    /// <param name="t">Times.</param>
    /// <param name="y">Values.</param>
    /// <param name="confidence">Two-sided confidence of the interval, 0…1.</param>
    /// <param name="inflation">Factor on the interval's width for autocorrelated values, √((1+r)/(1−r)) for AR(1).</param>
    public static TheilSenResult? TryFit(IReadOnlyList<double> t, IReadOnlyList<double> y, double confidence = 0.95, double inflation = 1) =>
        TryFit(t, y, confidence, _ => inflation);

    /// <summary>As above, with an inflation that follows from the slope, as the autocorrelation of detrended values does.</summary>
    public static TheilSenResult? TryFit(IReadOnlyList<double> t, IReadOnlyList<double> y, double confidence, Func<double, double> inflation)
    {
        ArgumentNullException.ThrowIfNull(inflation);
        var n = t.Count;
        var slopes = new double[n * (n - 1) / 2];
        var count = 0;
        for (var i = 0; i < n; i++)
            for (var j = i + 1; j < n; j++)
                if (t[j] != t[i]) slopes[count++] = (y[j] - y[i]) / (t[j] - t[i]);
        if (count == 0) return null;
        Array.Resize(ref slopes, count);
        // Three or four of a hundred thousand are asked for: selected, not sorted.
        double Ranked(int index) => ArrayStatistics.OrderStatisticInplace(slopes, index + 1);
        var slope = count % 2 == 1 ? Ranked(count / 2) : 0.5 * (Ranked(count / 2 - 1) + Ranked(count / 2));
        var intercept = RobustStatistics.Median([.. y]) - slope * RobustStatistics.Median([.. t]);
        var z = Normal.InvCDF(0, 1, 0.5 + confidence / 2);
        var sigma = inflation(slope) * Math.Sqrt((n * (n - 1.0) * (2 * n + 5) - TieTerm(t) - TieTerm(y)) / 18);
        var high = Math.Clamp((int)Math.Round((count + z * sigma) / 2, MidpointRounding.ToEven), 0, count - 1);
        var low = Math.Clamp((int)Math.Round((count - z * sigma) / 2, MidpointRounding.ToEven) - 1, 0, count - 1);
        return new(slope, intercept, Ranked(low), Ranked(high));
    }

    /// <summary>Repeated medians: slope = median over i of the median over j of the slope between i and j; intercept = median(y − slope·t).</summary>
    public static (double Slope, double Intercept)? TrySiegel(IReadOnlyList<double> t, IReadOnlyList<double> y)
    {
        var medians = new List<double>();
        for (var i = 0; i < t.Count; i++)
        {
            var slopes = new List<double>();
            for (var j = 0; j < t.Count; j++)
                if (t[j] != t[i]) slopes.Add((y[j] - y[i]) / (t[j] - t[i]));
            if (slopes.Count > 0) medians.Add(RobustStatistics.Median(slopes));
        }
        if (medians.Count == 0) return null;
        var slope = RobustStatistics.Median(medians);
        return (slope, RobustStatistics.Median(y.Select((v, i) => v - slope * t[i]).ToArray()));
    }

    /// <summary>Kendall's τ-b and its two-sided p by the normal approximation with ties; (NaN, NaN) when one side does not vary.</summary>
    public static (double Tau, double P) Kendall(IReadOnlyList<double> x, IReadOnlyList<double> y)
    {
        var n = x.Count;
        long score = 0, tiesX = 0, tiesY = 0;
        for (var i = 0; i < n; i++)
            for (var j = i + 1; j < n; j++)
            {
                int sx = Math.Sign(x[i] - x[j]), sy = Math.Sign(y[i] - y[j]);
                score += sx * sy;
                if (sx == 0) tiesX++;
                if (sy == 0) tiesY++;
            }
        var pairs = n * (n - 1.0) / 2;
        if (pairs - tiesX <= 0 || pairs - tiesY <= 0) return (double.NaN, double.NaN);
        var tau = score / Math.Sqrt((pairs - tiesX) * (pairs - tiesY));
        var m = n * (n - 1.0);
        var variance = (m * (2 * n + 5) - TieTerm(x) - TieTerm(y)) / 18 + 2.0 * tiesX * tiesY / m;
        if (n > 2) variance += TieTriples(x) * TieTriples(y) / (9 * m * (n - 2));
        var z = score / Math.Sqrt(variance);
        return (tau, 2 * Normal.CDF(0, 1, -Math.Abs(z)));
    }

    private static double TieTerm(IReadOnlyList<double> values) => values.GroupBy(v => v).Select(g => (double)g.Count()).Sum(c => c * (c - 1) * (2 * c + 5));

    private static double TieTriples(IReadOnlyList<double> values) => values.GroupBy(v => v).Select(g => (double)g.Count()).Sum(c => c * (c - 1) * (c - 2));
}
