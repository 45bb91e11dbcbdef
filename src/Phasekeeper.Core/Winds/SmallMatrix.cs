namespace Phasekeeper.Core.Winds;

/// <summary>Dense n × n algebra on row-major arrays for the few dozen unknowns of a profile. Golub and Van Loan, Matrix Computations, 4th ed. (2013), sections 1.1 and 4.2.</summary>
internal static class SmallMatrix
{
    /// <summary>Lower Cholesky factor in place (the strict upper triangle is left as it was); ln det of the matrix, or null when it is not positive definite.</summary>
    public static double? TryFactor(double[] a, int n)
    {
        double logDeterminant = 0;
        for (var i = 0; i < n; i++)
        {
            var rowI = a.AsSpan(i * n, n);
            for (var j = 0; j <= i; j++)
            {
                var rowJ = a.AsSpan(j * n, n);
                var sum = rowI[j];
                for (var k = 0; k < j; k++) sum -= rowI[k] * rowJ[k];
                if (j < i) rowI[j] = sum / rowJ[j];
                else if (sum > 0 && double.IsFinite(sum))
                {
                    rowI[i] = Math.Sqrt(sum);
                    logDeterminant += Math.Log(sum);
                }
                else return null;
            }
        }
        return logDeterminant;
    }

    /// <summary>Solves L·Lᵀ·x = b in place.</summary>
    public static void Solve(double[] l, int n, Span<double> b)
    {
        for (var i = 0; i < n; i++)
        {
            var row = l.AsSpan(i * n, n);
            var sum = b[i];
            for (var k = 0; k < i; k++) sum -= row[k] * b[k];
            b[i] = sum / row[i];
        }
        for (var i = n - 1; i >= 0; i--)
        {
            var x = b[i] /= l[i * n + i];
            var row = l.AsSpan(i * n, n);
            for (var k = 0; k < i; k++) b[k] -= row[k] * x;
        }
    }

    /// <summary>Inverse of L·Lᵀ.</summary>
    public static double[] Inverse(double[] l, int n)
    {
        var inverse = new double[n * n];
        for (var i = 0; i < n; i++)
        {
            var row = inverse.AsSpan(i * n, n);
            row[i] = 1;
            Solve(l, n, row); // symmetric: rows are columns
        }
        return inverse;
    }

    /// <summary>A·B with A m × k and B k × n.</summary>
    public static double[] Multiply(double[] a, double[] b, int m, int k, int n)
    {
        var c = new double[m * n];
        for (var i = 0; i < m; i++)
        {
            var row = c.AsSpan(i * n, n);
            for (var j = 0; j < k; j++)
            {
                var x = a[i * k + j];
                if (x == 0) continue;
                var other = b.AsSpan(j * n, n);
                for (var p = 0; p < n; p++) row[p] += x * other[p];
            }
        }
        return c;
    }

    /// <summary>A·S·Aᵀ with A m × k and S k × k symmetric.</summary>
    public static double[] Propagate(double[] a, double[] s, int m, int k)
    {
        var half = Multiply(a, s, m, k, k);
        var c = new double[m * m];
        for (var i = 0; i < m; i++)
            for (var j = 0; j <= i; j++)
            {
                var sum = 0.0;
                for (var p = 0; p < k; p++) sum += half[i * k + p] * a[j * k + p];
                c[i * m + j] = c[j * m + i] = sum;
            }
        return c;
    }
}
