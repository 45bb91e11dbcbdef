using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Phasekeeper.Core.Fringes;

/// <summary>
/// The inner loops of the fringe fit. Vectors of a fixed width of sixteen single-precision samples are used, whatever the machine has, and their sums end
/// in double precision in a fixed order: the same bits everywhere. Rounding of a sample, 6e-8 of it, is a ten-thousandth of its noise.
/// </summary>
internal static class FitKernel
{
    /// <summary>Samples handled at once; row arrays are padded to a multiple of it.</summary>
    public const int Width = 16;

    /// <summary>Length of a row's arrays for N samples.</summary>
    public static int Padded(int samples) => (samples + Width - 1) / Width * Width;

    /// <summary>Sum of the lanes, in double precision.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static double Total(Vector512<float> v)
    {
        var (low, high) = Vector512.Widen(v);
        var eight = low + high;
        var four = eight.GetLower() + eight.GetUpper();
        var two = four.GetLower() + four.GetUpper();
        return two[0] + two[1];
    }

    /// <summary>
    /// Residuals, weights and normal equations at parameters <paramref name="p"/>. Weights are 1/(max(μ, 0) + floor), from the model
    /// and not from the data, which would bias the fit low. <paramref name="huber"/> &gt; 0 limits a sample's pull to that many σ.
    /// </summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Pass(in RowData row, in FitParameters p, double huber, out FitSums sums)
    {
        ref var d = ref MemoryMarshal.GetReference(row.Electrons);
        ref var f = ref MemoryMarshal.GetReference(row.Flat);
        ref var c = ref MemoryMarshal.GetReference(row.Cos);
        ref var s = ref MemoryMarshal.GetReference(row.Sin);
        ref var q = ref MemoryMarshal.GetReference(row.Notch);
        ref var u = ref MemoryMarshal.GetReference(row.Offset);
        ref var use = ref MemoryMarshal.GetReference(row.Use);
        Vector512<float> va = Vector512.Create((float)p.A), vc = Vector512.Create((float)p.C), vs = Vector512.Create((float)p.S), vb = Vector512.Create((float)p.Beta);
        var floor = Vector512.Create((float)row.VarianceFloor);
        var zero = Vector512<float>.Zero;
        Vector512<float> n00 = zero, n01 = zero, n02 = zero, n03 = zero, n11 = zero, n12 = zero, n13 = zero, n22 = zero, n23 = zero, n33 = zero;
        Vector512<float> g0 = zero, g1 = zero, g2 = zero, g3 = zero, chi = zero, max = zero;
        var k = Vector512.Create((float)huber);
        for (nuint i = 0; i < (nuint)row.Use.Length; i += Width)
        {
            var xf = Vector512.LoadUnsafe(ref f, i);
            var xc = Vector512.LoadUnsafe(ref c, i);
            var xs = Vector512.LoadUnsafe(ref s, i);
            var xq = Vector512.LoadUnsafe(ref q, i);
            var xt = Vector512.LoadUnsafe(ref u, i) * (vc * xs - vs * xc);
            var mean = xq * Vector512.FusedMultiplyAdd(va, xf, Vector512.FusedMultiplyAdd(vc, xc, Vector512.FusedMultiplyAdd(vs, xs, vb * xt)));
            var w = Vector512.LoadUnsafe(ref use, i) / (Vector512.MaxNative(mean, zero) + floor);
            var r = Vector512.LoadUnsafe(ref d, i) - mean;
            var z2 = r * r * w;
            max = Vector512.MaxNative(max, z2);
            if (huber > 0)
            {
                var shrink = k / Vector512.MaxNative(Vector512.Sqrt(z2), k);
                w *= shrink;
                z2 *= shrink;
            }
            chi += z2;
            var wq = w * xq;
            var wr = wq * r;
            var wqq = wq * xq;
            g0 = Vector512.FusedMultiplyAdd(wr, xf, g0);
            g1 = Vector512.FusedMultiplyAdd(wr, xc, g1);
            g2 = Vector512.FusedMultiplyAdd(wr, xs, g2);
            g3 = Vector512.FusedMultiplyAdd(wr, xt, g3);
            var wf = wqq * xf;
            n00 = Vector512.FusedMultiplyAdd(wf, xf, n00);
            n01 = Vector512.FusedMultiplyAdd(wf, xc, n01);
            n02 = Vector512.FusedMultiplyAdd(wf, xs, n02);
            n03 = Vector512.FusedMultiplyAdd(wf, xt, n03);
            var wc = wqq * xc;
            n11 = Vector512.FusedMultiplyAdd(wc, xc, n11);
            n12 = Vector512.FusedMultiplyAdd(wc, xs, n12);
            n13 = Vector512.FusedMultiplyAdd(wc, xt, n13);
            var ws = wqq * xs;
            n22 = Vector512.FusedMultiplyAdd(ws, xs, n22);
            n23 = Vector512.FusedMultiplyAdd(ws, xt, n23);
            n33 = Vector512.FusedMultiplyAdd(wqq * xt, xt, n33);
        }
        sums.N00 = Total(n00);
        sums.N01 = Total(n01);
        sums.N02 = Total(n02);
        sums.N03 = Total(n03);
        sums.N11 = Total(n11);
        sums.N12 = Total(n12);
        sums.N13 = Total(n13);
        sums.N22 = Total(n22);
        sums.N23 = Total(n23);
        sums.N33 = Total(n33);
        sums.G0 = Total(g0);
        sums.G1 = Total(g1);
        sums.G2 = Total(g2);
        sums.G3 = Total(g3);
        sums.ChiSquare = Total(chi);
        sums.MaxZ2 = Largest(max);
    }

    /// <summary>
    /// Sets Use from Allowed and the model: a sample is masked when it leaves the model by more than <paramref name="limit"/> σ, or when the
    /// model itself comes within <paramref name="guard"/> σ of saturation. The second rule keeps the choice of samples independent
    /// of their noise: dropping only those that were counted as saturated would leave the low half of the others and bias the fit.
    /// A sample that is masked already comes back only below <paramref name="returnLimit"/> σ, so that the mask settles.
    /// Returns the number of samples whose use changed.
    /// </summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static int UpdateMask(in RowData row, in FitParameters p, double limit, double returnLimit, double guard)
    {
        ref var d = ref MemoryMarshal.GetReference(row.Electrons);
        ref var f = ref MemoryMarshal.GetReference(row.Flat);
        ref var c = ref MemoryMarshal.GetReference(row.Cos);
        ref var s = ref MemoryMarshal.GetReference(row.Sin);
        ref var q = ref MemoryMarshal.GetReference(row.Notch);
        ref var u = ref MemoryMarshal.GetReference(row.Offset);
        ref var use = ref MemoryMarshal.GetReference(row.Use);
        ref var allowed = ref MemoryMarshal.GetReference(row.Allowed);
        Vector512<float> va = Vector512.Create((float)p.A), vc = Vector512.Create((float)p.C), vs = Vector512.Create((float)p.S), vb = Vector512.Create((float)p.Beta);
        Vector512<float> floor = Vector512.Create((float)row.VarianceFloor), zero = Vector512<float>.Zero, one = Vector512<float>.One;
        Vector512<float> stay = Vector512.Create((float)(limit * limit)), enter = Vector512.Create((float)(returnLimit * returnLimit));
        Vector512<float> margin2 = Vector512.Create((float)(guard * guard)), top = Vector512.Create((float)row.SaturationElectrons);
        var changed = zero;
        for (nuint i = 0; i < (nuint)row.Use.Length; i += Width)
        {
            var xc = Vector512.LoadUnsafe(ref c, i);
            var xs = Vector512.LoadUnsafe(ref s, i);
            var xt = Vector512.LoadUnsafe(ref u, i) * (vc * xs - vs * xc);
            var mean = Vector512.LoadUnsafe(ref q, i) * (va * Vector512.LoadUnsafe(ref f, i) + vc * xc + vs * xs + vb * xt);
            var variance = Vector512.MaxNative(mean, zero) + floor;
            var r = Vector512.LoadUnsafe(ref d, i) - mean;
            var before = Vector512.LoadUnsafe(ref use, i);
            var bound = Vector512.ConditionalSelect(Vector512.GreaterThan(before, zero), stay, enter);
            var inside = Vector512.LessThanOrEqual(r * r, bound * variance);
            var gap = top - mean;
            var clear = Vector512.GreaterThan(gap, zero) & Vector512.GreaterThan(gap * gap, margin2 * variance);
            var after = Vector512.ConditionalSelect(inside & clear, one, zero) * Vector512.LoadUnsafe(ref allowed, i);
            var change = after - before;
            changed += change * change;
            after.StoreUnsafe(ref use, i);
        }
        return (int)Total(changed);
    }

    /// <summary>
    /// Turns a fringe pattern by the phase a_i = <paramref name="start"/> + i·<paramref name="step"/> (rad): c ← f·m·cos(θ+a), s ← −f·m·sin(θ+a).
    /// </summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Rotate(Span<float> cos, Span<float> sin, double start, double step)
    {
        var turn = new Turning(start, step);
        Vector512<float> laneCos = turn.LaneCos, laneSin = turn.LaneSin;
        double blockCos = turn.Cos, blockSin = turn.Sin, stepCos = turn.StepCos, stepSin = turn.StepSin;
        ref var c = ref MemoryMarshal.GetReference(cos);
        ref var s = ref MemoryMarshal.GetReference(sin);
        for (nuint i = 0; i < (nuint)cos.Length; i += Width)
        {
            Turning.Next(ref blockCos, ref blockSin, stepCos, stepSin, laneCos, laneSin, out var ca, out var sa);
            Vector512<float> xc = Vector512.LoadUnsafe(ref c, i), xs = Vector512.LoadUnsafe(ref s, i);
            Vector512.FusedMultiplyAdd(xs, sa, xc * ca).StoreUnsafe(ref c, i);
            (xs * ca - xc * sa).StoreUnsafe(ref s, i);
        }
    }

    private static double Largest(Vector512<float> v)
    {
        var eight = Vector256.MaxNative(v.GetLower(), v.GetUpper());
        var four = Vector128.MaxNative(eight.GetLower(), eight.GetUpper());
        return Math.Max(Math.Max(four[0], four[1]), Math.Max(four[2], four[3]));
    }
}
