using System.Numerics;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Phasekeeper.Core.Winds;

/// <summary>
/// Dense algebra on row-major arrays for the few dozen unknowns of a profile. Golub and Van Loan, Matrix Computations, 4th ed. (2013), sections 1.1 and 4.2. Sums over
/// four lanes are formed alike on every processor, so results do not depend on its vector width.
/// </summary>
internal static class SmallMatrix
{
    /// <summary>Lower Cholesky factor in place (the strict upper triangle is left as it was); ln det of the matrix, or null when it is not positive definite.</summary>
    public static double? TryFactor(double[] a, int n)
    {
        double logDeterminant = 0;
        for (var i = 0; i < n; i++)
        {
            var rowI = a.AsSpan(i * n, n);
            for (var j = 0; j < i; j++) rowI[j] = (rowI[j] - Dot(rowI[..j], a.AsSpan(j * n, j))) / a[j * n + j];
            var pivot = rowI[i] - Dot(rowI[..i], rowI[..i]);
            if (!(pivot > 0) || !double.IsFinite(pivot)) return null;
            rowI[i] = Math.Sqrt(pivot);
            logDeterminant += Math.Log(pivot);
        }
        return logDeterminant;
    }

    /// <summary>Solves L·x = b in place; |x|² is then bᵀ·(L·Lᵀ)⁻¹·b.</summary>
    public static void SolveLower(double[] l, int n, Span<double> b)
    {
        for (var i = 0; i < n; i++) b[i] = (b[i] - Dot(l.AsSpan(i * n, i), b[..i])) / l[i * n + i];
    }

    /// <summary>Solves L·Lᵀ·x = b in place.</summary>
    public static void Solve(double[] l, int n, Span<double> b)
    {
        SolveLower(l, n, b);
        for (var i = n - 1; i >= 0; i--)
        {
            var x = b[i] /= l[i * n + i];
            AddScaled(b[..i], l.AsSpan(i * n, i), -x);
        }
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
                if (x != 0) AddScaled(row, b.AsSpan(j * n, n), x);
            }
        }
        return c;
    }

    /// <summary>Adds A·Bᵀ, known to be symmetric, to C; A and B m × k.</summary>
    public static void AddSymmetricProduct(double[] c, double[] a, double[] b, int m, int k)
    {
        for (var i = 0; i < m; i++)
            for (var j = 0; j <= i; j++)
            {
                var sum = Dot(a.AsSpan(i * k, k), b.AsSpan(j * k, k));
                c[i * m + j] += sum;
                if (j < i) c[j * m + i] += sum;
            }
    }

    /// <summary>A·S·Aᵀ with A m × k and S k × k symmetric.</summary>
    public static double[] Propagate(double[] a, double[] s, int m, int k)
    {
        var c = new double[m * m];
        AddSymmetricProduct(c, Multiply(a, s, m, k, k), a, m, k);
        return c;
    }

    /// <summary>Σ aᵢ·bᵢ, in four lanes.</summary>
    public static double Dot(ReadOnlySpan<double> a, ReadOnlySpan<double> b)
    {
        var sums = Vector256<double>.Zero;
        var wide = MemoryMarshal.Cast<double, Vector256<double>>(a);
        var other = MemoryMarshal.Cast<double, Vector256<double>>(b);
        for (var i = 0; i < wide.Length; i++) sums += wide[i] * other[i];
        var sum = sums[0] + sums[1] + (sums[2] + sums[3]);
        for (var i = 4 * wide.Length; i < a.Length; i++) sum += a[i] * b[i];
        return sum;
    }

    /// <summary>a += x·b.</summary>
    public static void AddScaled(Span<double> a, ReadOnlySpan<double> b, double x)
    {
        var factor = new Vector<double>(x);
        var wide = MemoryMarshal.Cast<double, Vector<double>>(a);
        var other = MemoryMarshal.Cast<double, Vector<double>>(b);
        for (var i = 0; i < wide.Length; i++) wide[i] += factor * other[i];
        for (var i = wide.Length * Vector<double>.Count; i < a.Length; i++) a[i] += x * b[i];
    }
}
