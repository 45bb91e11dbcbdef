namespace Phasekeeper.Core.Statistics;

/// <summary>Result of a least-squares fit.</summary>
/// <param name="Estimate">Parameters, in the order of the design's columns.</param>
/// <param name="Covariance">Their covariance, [i][j].</param>
/// <param name="ResidualSumOfSquares">Weighted sum of squared residuals (χ² when σ were given).</param>
/// <param name="DegreesOfFreedom">Points minus parameters.</param>
public sealed record LeastSquaresResult(double[] Estimate, double[][] Covariance, double ResidualSumOfSquares, int DegreesOfFreedom)
{
    /// <summary>1σ of a parameter.</summary>
    public double Sigma(int parameter) => Math.Sqrt(Covariance[parameter][parameter]);

    /// <summary>Residual standard deviation √(RSS/ν); NaN for ν = 0.</summary>
    public double ResidualStandardDeviation => DegreesOfFreedom > 0 ? Math.Sqrt(ResidualSumOfSquares / DegreesOfFreedom) : double.NaN;
}

/// <summary>
/// Linear least squares y = X·b + e by Householder QR of the column-scaled design, with one step of iterative refinement. Accuracy on the NIST
/// StRD sets (test Certified_values_of_the_linear_reference_sets_are_met): 1e-9 relative on Norris, 1e-8 Longley, 1e-6 on Filip, the worst conditioned.
/// Reference: Golub, Van Loan, Matrix Computations, 4th ed., sections 5.3 and 5.3.8.
/// </summary>
public static class LinearLeastSquares
{
    /// <summary>Fits; null when the columns are (numerically) dependent or there are fewer points than parameters.</summary>
    /// <param name="design">X, [point][parameter].</param>
    /// <param name="y">Observations.</param>
    /// <param name="sigma">1σ of each observation; null = equal and unknown: then the covariance is scaled by RSS/ν (needs ν &gt; 0).</param>
    public static LeastSquaresResult? TryFit(double[][] design, double[] y, double[]? sigma = null)
    {
        int n = y.Length, p = n == 0 ? 0 : design[0].Length;
        if (p == 0 || n < p || (sigma is null && n == p)) return null;
        var a = new double[p][]; // columns, scaled to unit length
        var scale = new double[p];
        var rhs = new double[n];
        for (var i = 0; i < n; i++) rhs[i] = sigma is null ? y[i] : y[i] / sigma[i];
        for (var j = 0; j < p; j++)
        {
            a[j] = new double[n];
            double square = 0;
            for (var i = 0; i < n; i++)
            {
                a[j][i] = sigma is null ? design[i][j] : design[i][j] / sigma[i];
                square += a[j][i] * a[j][i];
            }
            scale[j] = Math.Sqrt(square);
            if (!(scale[j] > 0) || !double.IsFinite(scale[j])) return null;
            for (var i = 0; i < n; i++) a[j][i] /= scale[j];
        }
        var original = a.Select(c => (double[])c.Clone()).ToArray();
        var diagonal = new double[p];
        for (var j = 0; j < p; j++)
            if (!Reflect(a, j, out diagonal[j])) return null;

        var estimate = SolveR(a, diagonal, ApplyQt(a, rhs));
        var residual = Residual(original, rhs, estimate);
        var correction = SolveR(a, diagonal, ApplyQt(a, residual));
        for (var j = 0; j < p; j++) estimate[j] += correction[j];
        residual = Residual(original, rhs, estimate);

        double rss = 0;
        foreach (var r in residual) rss += r * r;
        var factor = sigma is null ? rss / (n - p) : 1.0;
        var covariance = CovarianceOf(a, diagonal, factor, scale);
        for (var j = 0; j < p; j++) estimate[j] /= scale[j];
        return new(estimate, covariance, rss, n - p);
    }

    // Householder reflection of column j; the vector stays in a[j][j..], R's upper part in a[k][i] for k > i.
    private static bool Reflect(double[][] a, int j, out double diagonal)
    {
        var column = a[j];
        double square = 0;
        for (var i = j; i < column.Length; i++) square += column[i] * column[i];
        var norm = Math.Sqrt(square);
        diagonal = 0;
        if (norm < 1e-15) return false; // unit columns: what is left of a dependent one
        diagonal = column[j] > 0 ? -norm : norm;
        column[j] -= diagonal;
        var half = norm * (norm + Math.Abs(column[j] + diagonal)); // vᵀv / 2
        for (var k = j + 1; k < a.Length; k++) ReflectVector(column, j, half, a[k]);
        return true;
    }

    private static void ReflectVector(double[] v, int j, double half, double[] target)
    {
        double dot = 0;
        for (var i = j; i < v.Length; i++) dot += v[i] * target[i];
        dot /= half;
        for (var i = j; i < v.Length; i++) target[i] -= dot * v[i];
    }

    private static double[] ApplyQt(double[][] a, double[] b)
    {
        var q = (double[])b.Clone();
        for (var j = 0; j < a.Length; j++)
        {
            double square = 0;
            for (var i = j; i < q.Length; i++) square += a[j][i] * a[j][i];
            ReflectVector(a[j], j, square / 2, q);
        }
        return q;
    }

    private static double[] SolveR(double[][] a, double[] diagonal, double[] qtb)
    {
        var p = a.Length;
        var x = new double[p];
        for (var i = p - 1; i >= 0; i--)
        {
            var sum = qtb[i];
            for (var k = i + 1; k < p; k++) sum -= a[k][i] * x[k];
            x[i] = sum / diagonal[i];
        }
        return x;
    }

    private static double[] Residual(double[][] columns, double[] rhs, double[] estimate)
    {
        var residual = (double[])rhs.Clone();
        for (var i = 0; i < rhs.Length; i++)
        {
            // Fused multiply-add keeps the residual's digits, which the refinement lives on.
            for (var j = 0; j < estimate.Length; j++) residual[i] = Math.FusedMultiplyAdd(-columns[j][i], estimate[j], residual[i]);
        }
        return residual;
    }

    private static double[][] CovarianceOf(double[][] a, double[] diagonal, double factor, double[] scale)
    {
        var p = a.Length;
        var inverse = new double[p][]; // R⁻¹, upper
        for (var c = 0; c < p; c++)
        {
            inverse[c] = new double[p]; // column c
            for (var i = c; i >= 0; i--)
            {
                var sum = i == c ? 1.0 : 0.0;
                for (var k = i + 1; k <= c; k++) sum -= a[k][i] * inverse[c][k];
                inverse[c][i] = sum / diagonal[i];
            }
        }
        var covariance = new double[p][];
        for (var i = 0; i < p; i++)
        {
            covariance[i] = new double[p];
            for (var j = 0; j < p; j++)
            {
                double sum = 0;
                for (var c = Math.Max(i, j); c < p; c++) sum += inverse[c][i] * inverse[c][j];
                covariance[i][j] = factor * sum / (scale[i] * scale[j]);
            }
        }
        return covariance;
    }
}
