namespace Phasekeeper.Core.Winds;

/// <summary>
/// One linear step of optimal estimation in its data-space form (Rodgers, Inverse Methods for Atmospheric Sounding, 2000, equations 2.31 and 5.9):
/// <c>G = S·Jᵀ·(J·S·Jᵀ + E)⁻¹</c>, <c>x = x_a + G·(y − F(x₀) + J·(x₀ − x_a))</c>, averaging kernel <c>G·J</c>.
/// </summary>
internal readonly struct OptimalEstimate
{
    private readonly double[] _factor, _spread, _prior;
    private readonly int _m, _k;

    private OptimalEstimate(double[] factor, double[] spread, double[] prior, double logDeterminant, int m, int k) =>
        (_factor, _spread, _prior, LogDeterminant, _m, _k) = (factor, spread, prior, logDeterminant, m, k);

    /// <summary>ln det(J·S·Jᵀ + E).</summary>
    public double LogDeterminant { get; }

    /// <summary>Prepares a step: J m × k, prior covariance S k × k, error covariance E m × m; null when their sum is not positive definite.</summary>
    public static OptimalEstimate? TryPrepare(double[] jacobian, double[] prior, double[] error, int m, int k)
    {
        var spread = SmallMatrix.Multiply(jacobian, prior, m, k, k); // J·S
        var total = (double[])error.Clone();
        SmallMatrix.AddSymmetricProduct(total, spread, jacobian, m, k);
        return SmallMatrix.TryFactor(total, m) is { } logDeterminant ? new(total, spread, prior, logDeterminant, m, k) : null;
    }

    /// <summary>x − x_a for data y − F(x₀) + J·(x₀ − x_a).</summary>
    public double[] Estimate(ReadOnlySpan<double> data)
    {
        var solved = data.ToArray();
        SmallMatrix.Solve(_factor, _m, solved);
        var x = new double[_k];
        SmallMatrix.AddRows(x, _spread, _k, solved, 1, _m, 1);
        return x;
    }

    /// <summary>The first rows of G, rows × m.</summary>
    public double[] Gain(int rows)
    {
        var gain = new double[rows * _m];
        for (var p = 0; p < rows; p++)
        {
            var row = gain.AsSpan(p * _m, _m);
            for (var i = 0; i < _m; i++) row[i] = _spread[i * _k + p];
        }
        SmallMatrix.SolveRows(_factor, _m, gain, rows);
        return gain;
    }

    /// <summary>ln of the probability of the data under prior and error, without its constant.</summary>
    public double LogEvidence(ReadOnlySpan<double> data)
    {
        var solved = data.ToArray();
        SmallMatrix.SolveLower(_factor, _m, solved);
        return -0.5 * (SmallMatrix.Dot(solved, solved) + LogDeterminant);
    }

    /// <summary>S − G·J·S, the covariance of what is left.</summary>
    public double[] Posterior()
    {
        // W = L⁻¹·J·S, then S − Wᵀ·W.
        var w = (double[])_spread.Clone();
        var posterior = (double[])_prior.Clone();
        for (var i = 0; i < _m; i++)
        {
            var row = w.AsSpan(i * _k, _k);
            SmallMatrix.AddRows(row, w, _k, _factor.AsSpan(i * _m, i), 1, i, -1);
            for (var p = 0; p < _k; p++) row[p] /= _factor[i * _m + i];
        }
        for (var p = 0; p < _k; p++) SmallMatrix.AddRows(posterior.AsSpan(p * _k, _k), w, _k, w.AsSpan(p), _k, _m, -1);
        return posterior;
    }
}
