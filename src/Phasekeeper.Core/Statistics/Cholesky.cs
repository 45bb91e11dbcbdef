namespace Phasekeeper.Core.Statistics;

/// <summary>
/// A = L·Lᵀ of a symmetric positive definite matrix, for the small systems (up to a few hundred unknowns) of the trackers.
/// Reference: G. H. Golub, C. F. Van Loan, Matrix Computations, 4th ed. (2013), section 4.2. No pivoting: the caller scales.
/// </summary>
public sealed class Cholesky
{
    private readonly double[][] _l;

    private Cholesky(double[][] l) => _l = l;

    /// <summary>Number of unknowns.</summary>
    public int Size => _l.Length;

    /// <summary>Factors the lower triangle of <paramref name="matrix"/>; null when it is not positive definite.</summary>
    public static Cholesky? TryFactor(double[][] matrix)
    {
        var n = matrix.Length;
        var l = new double[n][];
        for (var i = 0; i < n; i++)
        {
            var row = l[i] = new double[i + 1];
            for (var j = 0; j <= i; j++)
            {
                var other = l[j];
                var sum = matrix[i][j];
                for (var k = 0; k < j; k++) sum -= row[k] * other[k];
                if (j < i) row[j] = sum / other[j];
                else if (sum > 0 && double.IsFinite(sum)) row[j] = Math.Sqrt(sum);
                else return null;
            }
        }
        return new(l);
    }

    /// <summary>ln det A.</summary>
    public double LogDeterminant
    {
        get
        {
            double sum = 0;
            for (var i = 0; i < Size; i++) sum += Math.Log(_l[i][i]);
            return 2 * sum;
        }
    }

    /// <summary>L⁻¹·b: turns data of covariance A into independent data of unit variance.</summary>
    public double[] Whiten(ReadOnlySpan<double> b)
    {
        var x = new double[Size];
        for (var i = 0; i < Size; i++)
        {
            var sum = b[i];
            var row = _l[i];
            for (var k = 0; k < i; k++) sum -= row[k] * x[k];
            x[i] = sum / row[i];
        }
        return x;
    }

    /// <summary>A⁻¹·b.</summary>
    public double[] Solve(ReadOnlySpan<double> b)
    {
        var x = Whiten(b);
        for (var i = Size - 1; i >= 0; i--)
        {
            var sum = x[i];
            for (var k = i + 1; k < Size; k++) sum -= _l[k][i] * x[k];
            x[i] = sum / _l[i][i];
        }
        return x;
    }

    /// <summary>A⁻¹.</summary>
    public double[][] Inverse()
    {
        var inverse = new double[Size][];
        var unit = new double[Size];
        for (var j = 0; j < Size; j++)
        {
            unit[j] = 1;
            inverse[j] = Solve(unit);
            unit[j] = 0;
        }
        for (var i = 0; i < Size; i++)
            for (var j = 0; j < i; j++) inverse[i][j] = inverse[j][i] = 0.5 * (inverse[i][j] + inverse[j][i]);
        return inverse;
    }
}
