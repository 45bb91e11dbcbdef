namespace Phasekeeper.Core.Winds;

/// <summary>
/// Prior covariance of a profile: a Gaussian process of height with Matérn 5/2 correlation, <c>S(r) = σ²·(1 + a + a²/3)·e^(−a)</c>, <c>a = √5·r/ℓ</c>
/// (Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006, equation 4.17): twice differentiable, so it favours profiles without kinks
/// but does not forbid them.
/// </summary>
public static class ProfilePrior
{
    /// <summary>Correlation at a distance, both in km.</summary>
    public static double Correlation(double distanceKm, double lengthKm)
    {
        var a = Math.Sqrt(5) * Math.Abs(distanceKm) / lengthKm;
        return (1 + a + a * a / 3) * Math.Exp(-a);
    }

    /// <summary>Covariance matrix at some heights, row-major; σ in the unit of the profile.</summary>
    public static double[] Covariance(ReadOnlySpan<double> heightKm, double sigma, double lengthKm)
    {
        var n = heightKm.Length;
        var s = new double[n * n];
        for (var i = 0; i < n; i++)
            for (var j = 0; j <= i; j++) s[i * n + j] = s[j * n + i] = sigma * sigma * (Correlation(heightKm[i] - heightKm[j], lengthKm) + (i == j ? 1e-6 : 0));
        return s;
    }

    /// <summary>
    /// Variance, per layer between the first <paramref name="layers"/> + 1 heights, of the process in the middle of the layer against the natural cubic spline through its values at all
    /// heights: what a profile known at its heights does between them.
    /// </summary>
    /// <param name="covariance">Covariance of the process at the heights, row-major.</param>
    /// <param name="between">Covariance of the process between two heights, km.</param>
    /// <param name="heightKm">Heights, ascending.</param>
    /// <param name="toBend">Their <see cref="NaturalSpline.SecondDerivatives"/>.</param>
    /// <param name="layers">Number of layers.</param>
    internal static double[] BetweenHeights(double[] covariance, Func<double, double, double> between, ReadOnlySpan<double> heightKm, double[] toBend, int layers)
    {
        var u = heightKm.Length;
        var variance = new double[layers];
        double[] weight = new double[u], with = new double[u];
        for (var j = 0; j < layers; j++)
        {
            double width = heightKm[j + 1] - heightKm[j], middle = heightKm[j] + 0.5 * width;
            for (var k = 0; k < u; k++)
            {
                weight[k] = -width * width / 16 * (toBend[j * u + k] + toBend[(j + 1) * u + k]) + (k == j || k == j + 1 ? 0.5 : 0);
                with[k] = between(middle, heightKm[k]);
            }
            var sum = between(middle, middle);
            for (var k = 0; k < u; k++)
            {
                sum -= 2 * weight[k] * with[k];
                for (var l = 0; l < u; l++) sum += weight[k] * weight[l] * covariance[k * u + l];
            }
            variance[j] = Math.Max(0, sum);
        }
        return variance;
    }
}
