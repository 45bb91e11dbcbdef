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
            for (var j = 0; j < n; j++) s[i * n + j] = sigma * sigma * (Correlation(heightKm[i] - heightKm[j], lengthKm) + (i == j ? 1e-6 : 0));
        return s;
    }
}
