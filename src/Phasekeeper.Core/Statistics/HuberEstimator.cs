using MathNet.Numerics.Distributions;

namespace Phasekeeper.Core.Statistics;

/// <summary>
/// Huber's M-estimators. Location and scale together by proposal 2 (P. J. Huber, Robust Statistics (1981), section 6.4; Venables and Ripley,
/// Modern Applied Statistics with S, 4th ed., section 5.5); regression by iterated reweighting with the MAD about zero as scale (section 7.8).
/// </summary>
public static class HuberEstimator
{
    /// <summary>Location and scale; null for fewer than two values or no spread (MAD = 0).</summary>
    /// <param name="values">Data.</param>
    /// <param name="c">Values beyond c scales are pulled in.</param>
    public static (double Location, double Scale)? TryLocation(IReadOnlyList<double> values, double c = 1.5)
    {
        var n = values.Count;
        if (n < 2) return null;
        var location = RobustStatistics.Median((IReadOnlyCollection<double>)values);
        var scale = RobustStatistics.MadSigma((IReadOnlyCollection<double>)values);
        if (!(scale > 0)) return null;
        // E[min(z², c²)] for a standard normal z: makes the scale consistent.
        var inside = 2 * Normal.CDF(0, 1, c) - 1;
        var gamma = inside + c * c * (1 - inside) - 2 * c * Normal.PDF(0, 1, c);
        for (var iteration = 0; iteration < 500; iteration++)
        {
            double sum = 0, squares = 0;
            var within = 0;
            for (var i = 0; i < n; i++) sum += Math.Clamp(values[i], location - c * scale, location + c * scale);
            var newLocation = sum / n;
            for (var i = 0; i < n; i++)
            {
                if (Math.Abs(values[i] - location) > c * scale) continue;
                within++;
                squares += (values[i] - newLocation) * (values[i] - newLocation);
            }
            var denominator = (n - 1) * gamma - (n - within) * c * c;
            if (!(denominator > 0) || !(squares > 0)) return null;
            var newScale = Math.Sqrt(squares / denominator);
            var settled = Math.Abs(newLocation - location) <= 1e-14 * scale && Math.Abs(newScale - scale) <= 1e-14 * scale;
            (location, scale) = (newLocation, newScale);
            if (settled) break;
        }
        return (location, scale);
    }

    /// <summary>Robust regression y = X·b; null when degenerate or not settled in 500 rounds.</summary>
    /// <returns>Coefficients, scale (MAD of the residuals about zero, as a normal σ) and the weight 0…1 that each point kept.</returns>
    public static (double[] Estimate, double Scale, double[] Weights)? TryRegression(double[][] design, double[] y, double k = 1.345)
    {
        var n = y.Length;
        var weights = new double[n];
        Array.Fill(weights, 1.0);
        double[]? previous = null;
        var scale = double.NaN;
        for (var iteration = 0; iteration < 500; iteration++)
        {
            var sigma = weights.Select(w => 1 / Math.Sqrt(w)).ToArray();
            if (LinearLeastSquares.TryFit(design, y, sigma)?.Estimate is not { } b) return null;
            var residual = new double[n];
            for (var i = 0; i < n; i++)
            {
                residual[i] = y[i];
                for (var j = 0; j < b.Length; j++) residual[i] -= design[i][j] * b[j];
            }
            scale = RobustStatistics.MadToSigma * RobustStatistics.Mad(residual, 0);
            if (!(scale > 0)) return (b, 0, weights);
            for (var i = 0; i < n; i++) weights[i] = Math.Min(1, k * scale / Math.Max(Math.Abs(residual[i]), 1e-300));
            if (previous is not null && b.Zip(previous, (p, q) => Math.Abs(p - q) <= 1e-12 * (Math.Abs(p) + 1e-300)).All(v => v)) return (b, scale, weights);
            previous = b;
        }
        return null;
    }
}
