namespace Phasekeeper.Core.Statistics;

/// <summary>
/// Least squares of data whose errors are correlated (full covariance C): data and design are whitened by the Cholesky factor of C, then fitted
/// by <see cref="LinearLeastSquares"/>. The covariance of the result is (Xᵀ C⁻¹ X)⁻¹.
/// </summary>
public static class GeneralizedLeastSquares
{
    /// <summary>Fits; null when C is not positive definite or the design is degenerate.</summary>
    public static LeastSquaresResult? TryFit(double[][] design, double[] y, double[][] covariance)
    {
        if (y.Length == 0 || y.Length < design[0].Length) return null;
        if (Cholesky.TryFactor(covariance) is not { } factor) return null;
        int n = y.Length, p = design[0].Length;
        var whiteY = factor.Whiten(y);
        var white = new double[n][];
        for (var i = 0; i < n; i++) white[i] = new double[p];
        var column = new double[n];
        for (var j = 0; j < p; j++)
        {
            for (var i = 0; i < n; i++) column[i] = design[i][j];
            var w = factor.Whiten(column);
            for (var i = 0; i < n; i++) white[i][j] = w[i];
        }
        var unit = new double[n];
        Array.Fill(unit, 1.0);
        return LinearLeastSquares.TryFit(white, whiteY, unit);
    }
}
