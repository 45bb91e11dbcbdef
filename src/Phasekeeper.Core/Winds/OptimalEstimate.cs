namespace Phasekeeper.Core.Winds;

/// <summary>
/// One linear step of optimal estimation in its data-space form (Rodgers, Inverse Methods for Atmospheric Sounding, 2000, equations 2.31 and 5.9):
/// <c>G = S·Jᵀ·(J·S·Jᵀ + E)⁻¹</c>, <c>x = x_a + G·(y − F(x₀) + J·(x₀ − x_a))</c>, averaging kernel <c>G·J</c>.
/// </summary>
internal readonly struct OptimalEstimate
{
    private readonly double[] _factor;
    private readonly int _m, _k;

    private OptimalEstimate(double[] factor, double[] gain, double logDeterminant, int m, int k) =>
        (_factor, Gain, LogDeterminant, _m, _k) = (factor, gain, logDeterminant, m, k);

    /// <summary>G, k × m.</summary>
    public double[] Gain { get; }
    /// <summary>ln det(J·S·Jᵀ + E).</summary>
    public double LogDeterminant { get; }

    /// <summary>Prepares a step: J m × k, prior covariance S k × k, error covariance E m × m; null when their sum is not positive definite.</summary>
    public static OptimalEstimate? TryPrepare(double[] jacobian, double[] prior, double[] error, int m, int k)
    {
        var spread = SmallMatrix.Multiply(jacobian, prior, m, k, k); // J·S
        var total = new double[m * m];
        for (var i = 0; i < m; i++)
            for (var j = 0; j <= i; j++)
            {
                var sum = error[i * m + j];
                for (var p = 0; p < k; p++) sum += spread[i * k + p] * jacobian[j * k + p];
                total[i * m + j] = sum;
            }
        if (SmallMatrix.TryFactor(total, m) is not { } logDeterminant) return null;
        var gain = new double[k * m];
        for (var p = 0; p < k; p++)
        {
            var row = gain.AsSpan(p * m, m);
            for (var i = 0; i < m; i++) row[i] = spread[i * k + p];
            SmallMatrix.Solve(total, m, row);
        }
        return new(total, gain, logDeterminant, m, k);
    }

    /// <summary>x − x_a for data y − F(x₀) + J·(x₀ − x_a).</summary>
    public double[] Estimate(ReadOnlySpan<double> data)
    {
        var x = new double[_k];
        for (var p = 0; p < _k; p++)
        {
            var sum = 0.0;
            for (var i = 0; i < _m; i++) sum += Gain[p * _m + i] * data[i];
            x[p] = sum;
        }
        return x;
    }

    /// <summary>ln of the probability of the data under prior and error, without its constant.</summary>
    public double LogEvidence(ReadOnlySpan<double> data)
    {
        var solved = data.ToArray();
        SmallMatrix.Solve(_factor, _m, solved);
        var square = 0.0;
        for (var i = 0; i < _m; i++) square += data[i] * solved[i];
        return -0.5 * (square + LogDeterminant);
    }

    /// <summary>S − G·J·S, the covariance of what is left.</summary>
    public double[] Posterior(double[] jacobian, double[] prior)
    {
        var spread = SmallMatrix.Multiply(jacobian, prior, _m, _k, _k);
        var c = SmallMatrix.Multiply(Gain, spread, _k, _m, _k);
        for (var i = 0; i < c.Length; i++) c[i] = prior[i] - c[i];
        return c;
    }
}
