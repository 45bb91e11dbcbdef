namespace Phasekeeper.Core.Statistics;

/// <summary>Eigenvalues of a small symmetric matrix by cyclic Jacobi rotations (Golub and Van Loan, Matrix Computations, 4th ed. (2013), section 8.5).</summary>
public static class SymmetricEigenvalues
{
    private const int LargestSweeps = 30;

    /// <summary>Ascending eigenvalues of a row-major n × n matrix.</summary>
    public static double[] Of(double[] matrix, int n)
    {
        var a = (double[])matrix.Clone();
        for (var sweep = 0; sweep < LargestSweeps; sweep++)
        {
            double off = 0, diagonal = 0;
            for (var p = 0; p < n; p++)
            {
                diagonal += a[p * n + p] * a[p * n + p];
                for (var q = p + 1; q < n; q++) off += a[p * n + q] * a[p * n + q];
            }
            if (off <= 1e-30 * diagonal) break;
            for (var p = 0; p < n; p++)
                for (var q = p + 1; q < n; q++) Rotate(a, n, p, q);
        }
        return [.. Enumerable.Range(0, n).Select(i => a[i * n + i]).Order()];
    }

    private static void Rotate(double[] a, int n, int p, int q)
    {
        var apq = a[p * n + q];
        if (apq == 0) return;
        var theta = (a[q * n + q] - a[p * n + p]) / (2 * apq);
        var t = (theta >= 0 ? 1 : -1) / (Math.Abs(theta) + Math.Sqrt(theta * theta + 1));
        var c = 1 / Math.Sqrt(t * t + 1);
        var s = t * c;
        for (var k = 0; k < n; k++)
        {
            double kp = a[k * n + p], kq = a[k * n + q];
            (a[k * n + p], a[k * n + q]) = (c * kp - s * kq, s * kp + c * kq);
        }
        for (var k = 0; k < n; k++)
        {
            double pk = a[p * n + k], qk = a[q * n + k];
            (a[p * n + k], a[q * n + k]) = (c * pk - s * qk, s * pk + c * qk);
        }
    }
}
