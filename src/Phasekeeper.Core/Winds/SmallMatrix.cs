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
        // Four rows at a time, left of their own triangle: their sums are independent, so none waits for another.
        for (var first = 0; first < n; first += 4)
        {
            var rows = Math.Min(4, n - first);
            for (var j = 0; rows == 4 && j < first; j++)
            {
                var (d0, d1, d2, d3) = Dots(a.AsSpan(j * n, j), a.AsSpan(first * n), n);
                double pivot = a[j * n + j];
                var at = first * n + j;
                a[at] = (a[at] - d0) / pivot;
                a[at + n] = (a[at + n] - d1) / pivot;
                a[at + 2 * n] = (a[at + 2 * n] - d2) / pivot;
                a[at + 3 * n] = (a[at + 3 * n] - d3) / pivot;
            }
            for (var i = first; i < first + rows; i++)
            {
                var rowI = a.AsSpan(i * n, n);
                for (var j = rows == 4 ? first : 0; j < i; j++) rowI[j] = (rowI[j] - Dot(rowI[..j], a.AsSpan(j * n, j))) / a[j * n + j];
                var pivot = rowI[i] - Dot(rowI[..i], rowI[..i]);
                if (!(pivot > 0) || !double.IsFinite(pivot)) return null;
                rowI[i] = Math.Sqrt(pivot);
                logDeterminant += Math.Log(pivot);
            }
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
        SolveUpper(l, n, b);
    }

    private static void SolveUpper(double[] l, int n, Span<double> b)
    {
        for (var i = n - 1; i >= 0; i--)
        {
            var x = b[i] /= l[i * n + i];
            AddScaled(b[..i], l.AsSpan(i * n, i), -x);
        }
    }

    /// <summary>Solves L·Lᵀ·x = b in place for the rows of B, count × n.</summary>
    public static void SolveRows(double[] l, int n, double[] b, int count)
    {
        var first = 0;
        for (; first + 4 <= count; first += 4)
        {
            for (var i = 0; i < n; i++)
            {
                var (d0, d1, d2, d3) = Dots(l.AsSpan(i * n, i), b.AsSpan(first * n), n);
                var pivot = l[i * n + i];
                var at = first * n + i;
                b[at] = (b[at] - d0) / pivot;
                b[at + n] = (b[at + n] - d1) / pivot;
                b[at + 2 * n] = (b[at + 2 * n] - d2) / pivot;
                b[at + 3 * n] = (b[at + 3 * n] - d3) / pivot;
            }
            for (var row = first; row < first + 4; row++) SolveUpper(l, n, b.AsSpan(row * n, n));
        }
        for (; first < count; first++) Solve(l, n, b.AsSpan(first * n, n));
    }

    /// <summary>A·B with A m × k and B k × n.</summary>
    public static double[] Multiply(double[] a, double[] b, int m, int k, int n)
    {
        var c = new double[m * n];
        for (var i = 0; i < m; i++) AddRows(c.AsSpan(i * n, n), b, n, a.AsSpan(i * k, k), 1, k, 1);
        return c;
    }

    /// <summary>Adds A·Bᵀ, known to be symmetric, to C; A and B m × k.</summary>
    public static void AddSymmetricProduct(double[] c, double[] a, double[] b, int m, int k)
    {
        for (var i = 0; i < m; i++)
        {
            var row = a.AsSpan(i * k, k);
            var j = 0;
            for (; j + 4 <= i + 1; j += 4)
            {
                var (d0, d1, d2, d3) = Dots(row, b.AsSpan(j * k), k);
                Add(i, j, d0);
                Add(i, j + 1, d1);
                Add(i, j + 2, d2);
                Add(i, j + 3, d3);
            }
            for (; j <= i; j++) Add(i, j, Dot(row, b.AsSpan(j * k, k)));
        }
        void Add(int i, int j, double sum)
        {
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

    // Sums over a of its products with the first a.Length numbers of four rows: each as Dot forms it, but side by side.
    private static (double, double, double, double) Dots(ReadOnlySpan<double> a, ReadOnlySpan<double> rows, int stride)
    {
        var n = a.Length;
        ReadOnlySpan<double> b0 = rows[..n], b1 = rows.Slice(stride, n), b2 = rows.Slice(2 * stride, n), b3 = rows.Slice(3 * stride, n);
        ref var a0 = ref MemoryMarshal.GetReference(a);
        ref var r0 = ref MemoryMarshal.GetReference(b0);
        ref var r1 = ref MemoryMarshal.GetReference(b1);
        ref var r2 = ref MemoryMarshal.GetReference(b2);
        ref var r3 = ref MemoryMarshal.GetReference(b3);
        Vector256<double> s0 = default, s1 = default, s2 = default, s3 = default;
        var i = 0;
        for (; i + 4 <= n; i += 4)
        {
            var x = Vector256.LoadUnsafe(ref a0, (nuint)i);
            s0 += x * Vector256.LoadUnsafe(ref r0, (nuint)i);
            s1 += x * Vector256.LoadUnsafe(ref r1, (nuint)i);
            s2 += x * Vector256.LoadUnsafe(ref r2, (nuint)i);
            s3 += x * Vector256.LoadUnsafe(ref r3, (nuint)i);
        }
        double d0 = s0[0] + s0[1] + (s0[2] + s0[3]), d1 = s1[0] + s1[1] + (s1[2] + s1[3]), d2 = s2[0] + s2[1] + (s2[2] + s2[3]), d3 = s3[0] + s3[1] + (s3[2] + s3[3]);
        for (; i < n; i++)
        {
            d0 += a[i] * b0[i];
            d1 += a[i] * b1[i];
            d2 += a[i] * b2[i];
            d3 += a[i] * b3[i];
        }
        return (d0, d1, d2, d3);
    }

    /// <summary>
    /// c += Σⱼ sign·xⱼ·bⱼ over <paramref name="count"/> rows of B, in their order for every element of c: the sums stay in registers instead of being loaded and stored for each row.
    /// </summary>
    /// <param name="c">What is added to.</param>
    /// <param name="b">First row of B.</param>
    /// <param name="stride">From one row of B to the next.</param>
    /// <param name="x">First factor.</param>
    /// <param name="step">From one factor to the next.</param>
    /// <param name="count">Number of rows.</param>
    /// <param name="sign">1 or −1.</param>
    public static void AddRows(Span<double> c, ReadOnlySpan<double> b, int stride, ReadOnlySpan<double> x, int step, int count, double sign)
    {
        if (count == 0) return;
        var n = c.Length;
        // Checked once here: below, references go without bounds.
        _ = b.Slice((count - 1) * stride, n);
        _ = x[(count - 1) * step];
        ref var c0 = ref MemoryMarshal.GetReference(c);
        ref var b0 = ref MemoryMarshal.GetReference(b);
        var q = 0;
        for (; q + 20 <= n; q += 20)
        {
            var at = (nuint)q;
            Vector256<double> s0 = Vector256.LoadUnsafe(ref c0, at), s1 = Vector256.LoadUnsafe(ref c0, at + 4), s2 = Vector256.LoadUnsafe(ref c0, at + 8), s3 = Vector256.LoadUnsafe(ref c0, at + 12), s4 = Vector256.LoadUnsafe(ref c0, at + 16);
            for (int j = 0, f = 0; j < count; j++, f += step, at += (nuint)stride)
            {
                var factor = Vector256.Create(sign * x[f]);
                s0 += factor * Vector256.LoadUnsafe(ref b0, at);
                s1 += factor * Vector256.LoadUnsafe(ref b0, at + 4);
                s2 += factor * Vector256.LoadUnsafe(ref b0, at + 8);
                s3 += factor * Vector256.LoadUnsafe(ref b0, at + 12);
                s4 += factor * Vector256.LoadUnsafe(ref b0, at + 16);
            }
            at = (nuint)q;
            s0.StoreUnsafe(ref c0, at);
            s1.StoreUnsafe(ref c0, at + 4);
            s2.StoreUnsafe(ref c0, at + 8);
            s3.StoreUnsafe(ref c0, at + 12);
            s4.StoreUnsafe(ref c0, at + 16);
        }
        for (; q + 8 <= n; q += 8)
        {
            var at = (nuint)q;
            Vector256<double> s0 = Vector256.LoadUnsafe(ref c0, at), s1 = Vector256.LoadUnsafe(ref c0, at + 4);
            for (int j = 0, f = 0; j < count; j++, f += step, at += (nuint)stride)
            {
                var factor = Vector256.Create(sign * x[f]);
                s0 += factor * Vector256.LoadUnsafe(ref b0, at);
                s1 += factor * Vector256.LoadUnsafe(ref b0, at + 4);
            }
            s0.StoreUnsafe(ref c0, (nuint)q);
            s1.StoreUnsafe(ref c0, (nuint)q + 4);
        }
        for (; q + 4 <= n; q += 4)
        {
            var at = (nuint)q;
            var s0 = Vector256.LoadUnsafe(ref c0, at);
            for (int j = 0, f = 0; j < count; j++, f += step, at += (nuint)stride) s0 += Vector256.Create(sign * x[f]) * Vector256.LoadUnsafe(ref b0, at);
            s0.StoreUnsafe(ref c0, (nuint)q);
        }
        for (; q < n; q++)
        {
            var sum = c[q];
            for (int j = 0, f = 0, at = q; j < count; j++, f += step, at += stride) sum += sign * x[f] * b[at];
            c[q] = sum;
        }
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
