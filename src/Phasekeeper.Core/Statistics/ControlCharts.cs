namespace Phasekeeper.Core.Statistics;

/// <summary>
/// Exponentially weighted moving average: z_t = λ·x_t + (1 − λ)·z_{t−1}, z_0 = target; limits target ± L·s·√(λ/(2−λ)·(1 − (1−λ)^{2t})).
/// NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2.4 (doi 10.18434/M32189).
/// </summary>
/// <param name="Target">Mean in control.</param>
/// <param name="Lambda">Weight of the newest value, 0…1.</param>
public sealed record Ewma(double Target, double Lambda)
{
    /// <summary>The averages after each value.</summary>
    public double[] Run(IReadOnlyList<double> values)
    {
        var z = Target;
        var result = new double[values.Count];
        for (var i = 0; i < values.Count; i++) result[i] = z = Next(z, values[i]);
        return result;
    }

    /// <summary>One step.</summary>
    public double Next(double previous, double value) => Lambda * value + (1 - Lambda) * previous;

    /// <summary>Half-width of the limits after <paramref name="count"/> values of standard deviation <paramref name="sigma"/>; a negative count = the steady limits.</summary>
    public double HalfWidth(double sigma, double limit, int count = -1) =>
        limit * sigma * Math.Sqrt(Lambda / (2 - Lambda) * (count < 0 ? 1 : 1 - Math.Pow(1 - Lambda, 2.0 * count)));
}

/// <summary>
/// Two-sided tabular CUSUM: S⁺_t = max(0, S⁺_{t−1} + x_t − target − k), S⁻_t = max(0, S⁻_{t−1} + target − k − x_t); a signal when either exceeds h.
/// NIST/SEMATECH e-Handbook, section 6.3.2.3. k and h in the unit of the values.
/// </summary>
/// <param name="Target">Mean in control.</param>
/// <param name="K">Allowance: half the shift to be found.</param>
public sealed record Cusum(double Target, double K)
{
    /// <summary>Both sums after each value.</summary>
    public (double High, double Low)[] Run(IReadOnlyList<double> values)
    {
        var result = new (double, double)[values.Count];
        (double High, double Low) s = (0, 0);
        for (var i = 0; i < values.Count; i++) result[i] = s = Next(s, values[i]);
        return result;
    }

    /// <summary>One step.</summary>
    public (double High, double Low) Next((double High, double Low) previous, double value) =>
        (Math.Max(0, previous.High + value - Target - K), Math.Max(0, previous.Low + Target - K - value));
}
