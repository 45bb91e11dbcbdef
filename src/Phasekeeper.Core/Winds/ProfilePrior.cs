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
    /// Covariance, of the first <paramref name="layers"/> layers between the heights, of the process in the middle of a layer less the natural cubic spline through its values at all
    /// heights: what a profile known at its heights does between them. Neighbouring layers lean against each other, so their effects on a ray partly cancel.
    /// </summary>
    /// <param name="covariance">Covariance of the process at the heights, row-major.</param>
    /// <param name="between">Covariance of the process between two heights, km.</param>
    /// <param name="heightKm">Heights, ascending.</param>
    /// <param name="toBend">Their <see cref="NaturalSpline.SecondDerivatives"/>.</param>
    /// <param name="layers">Number of layers.</param>
    /// <returns>Layers × layers, row-major.</returns>
    internal static double[] BetweenHeights(double[] covariance, Func<double, double, double> between, ReadOnlySpan<double> heightKm, double[] toBend, int layers)
    {
        var u = heightKm.Length;
        double[] middle = new double[layers], weight = new double[layers * u], with = new double[layers * u];
        for (var j = 0; j < layers; j++)
        {
            var width = heightKm[j + 1] - heightKm[j];
            middle[j] = heightKm[j] + 0.5 * width;
            for (var k = 0; k < u; k++)
            {
                weight[j * u + k] = -width * width / 16 * (toBend[j * u + k] + toBend[(j + 1) * u + k]) + (k == j || k == j + 1 ? 0.5 : 0);
                with[j * u + k] = between(middle[j], heightKm[k]);
            }
        }
        var rest = SmallMatrix.Propagate(weight, covariance, layers, u);
        for (var i = 0; i < layers; i++)
            for (var j = 0; j < layers; j++)
                rest[i * layers + j] += between(middle[i], middle[j]) - SmallMatrix.Dot(weight.AsSpan(i * u, u), with.AsSpan(j * u, u)) - SmallMatrix.Dot(weight.AsSpan(j * u, u), with.AsSpan(i * u, u));
        return rest;
    }
}
