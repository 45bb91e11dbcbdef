using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Phasekeeper.Core.Fringes;

/// <summary>
/// The first look at a row, in one pass over its counts: electrons, mask, the pattern with the motion turned in, and the sums of an unweighted
/// least-squares fit away from the fiducials, which starts the weighted one.
/// </summary>
internal ref struct RowLoad
{
    /// <summary>Counts, padded.</summary>
    public ReadOnlySpan<ushort> Counts;
    /// <summary>Patterns of the row at rest.</summary>
    public ReadOnlySpan<float> FromCos, FromSin;
    /// <summary>1 = good sample.</summary>
    public ReadOnlySpan<float> Good;
    /// <summary>1 = away from fiducials.</summary>
    public ReadOnlySpan<float> Far;
    /// <summary>Electrons of a sample = counts·gain − <see cref="Pedestal"/>.</summary>
    public double Gain;
    /// <summary>Electrons of bias and dark.</summary>
    public double Pedestal;
    /// <summary>Counts at which a sample is saturated.</summary>
    public double Saturation;

    /// <summary>Samples that are saturated, padding left out, set by <see cref="Run"/>.</summary>
    public int Saturated;
    /// <summary>Samples that may be used, set by <see cref="Run"/>.</summary>
    public int Usable;

    /// <summary>
    /// Fills <paramref name="row"/>; the pattern is turned by <paramref name="start"/> + i·<paramref name="step"/> rad (see <see cref="FitKernel.Rotate"/>).
    /// </summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public LinearSums Run(in RowData row, double start, double step)
    {
        // Before anything is held in vectors: a call would spill them all, in every turn of the loop.
        var turn = new Turning(start, step);
        Vector512<float> laneCos = turn.LaneCos, laneSin = turn.LaneSin;
        double cos = turn.Cos, sin = turn.Sin, stepCos = turn.StepCos, stepSin = turn.StepSin;
        ref var counts = ref MemoryMarshal.GetReference(Counts);
        ref var fromC = ref MemoryMarshal.GetReference(FromCos);
        ref var fromS = ref MemoryMarshal.GetReference(FromSin);
        ref var good = ref MemoryMarshal.GetReference(Good);
        ref var far = ref MemoryMarshal.GetReference(Far);
        ref var flat = ref MemoryMarshal.GetReference(row.Flat);
        ref var d = ref MemoryMarshal.GetReference(row.Electrons);
        ref var allowed = ref MemoryMarshal.GetReference(row.Allowed);
        ref var use = ref MemoryMarshal.GetReference(row.Use);
        ref var c = ref MemoryMarshal.GetReference(row.Cos);
        ref var s = ref MemoryMarshal.GetReference(row.Sin);
        Vector512<float> gain = Vector512.Create((float)Gain), pedestal = Vector512.Create((float)-Pedestal), full = Vector512.Create((float)Saturation);
        Vector512<float> zero = Vector512<float>.Zero, one = Vector512<float>.One;
        Vector512<float> ff = zero, fc = zero, fs = zero, cc = zero, cs = zero, ss = zero, fd = zero, cd = zero, sd = zero, over = zero, usable = zero;
        for (nuint i = 0; i < (nuint)row.Allowed.Length; i += FitKernel.Width)
        {
            var (low, high) = Vector256.Widen(Vector256.LoadUnsafe(ref counts, i));
            var xn = Vector512.ConvertToSingle(Vector512.Create(low, high).AsInt32());
            var xd = Vector512.FusedMultiplyAdd(xn, gain, pedestal);
            xd.StoreUnsafe(ref d, i);
            var below = Vector512.LessThan(xn, full);
            over += Vector512.ConditionalSelect(below, zero, one);
            var may = Vector512.ConditionalSelect(below, Vector512.LoadUnsafe(ref good, i), zero);
            may.StoreUnsafe(ref allowed, i);
            may.StoreUnsafe(ref use, i);
            usable += may;
            Turning.Next(ref cos, ref sin, stepCos, stepSin, laneCos, laneSin, out var ca, out var sa);
            Vector512<float> bc = Vector512.LoadUnsafe(ref fromC, i), bs = Vector512.LoadUnsafe(ref fromS, i);
            var xc = Vector512.FusedMultiplyAdd(bs, sa, bc * ca);
            var xs = bs * ca - bc * sa;
            xc.StoreUnsafe(ref c, i);
            xs.StoreUnsafe(ref s, i);
            var w = may * Vector512.LoadUnsafe(ref far, i);
            var xf = Vector512.LoadUnsafe(ref flat, i);
            Vector512<float> wf = w * xf, wc = w * xc, ws = w * xs;
            ff = Vector512.FusedMultiplyAdd(wf, xf, ff);
            fc = Vector512.FusedMultiplyAdd(wf, xc, fc);
            fs = Vector512.FusedMultiplyAdd(wf, xs, fs);
            cc = Vector512.FusedMultiplyAdd(wc, xc, cc);
            cs = Vector512.FusedMultiplyAdd(wc, xs, cs);
            ss = Vector512.FusedMultiplyAdd(ws, xs, ss);
            fd = Vector512.FusedMultiplyAdd(wf, xd, fd);
            cd = Vector512.FusedMultiplyAdd(wc, xd, cd);
            sd = Vector512.FusedMultiplyAdd(ws, xd, sd);
        }
        Saturated = (int)FitKernel.Total(over);
        Usable = (int)FitKernel.Total(usable);
        return new LinearSums
        {
            FF = FitKernel.Total(ff),
            FC = FitKernel.Total(fc),
            FS = FitKernel.Total(fs),
            CC = FitKernel.Total(cc),
            CS = FitKernel.Total(cs),
            SS = FitKernel.Total(ss),
            FD = FitKernel.Total(fd),
            CD = FitKernel.Total(cd),
            SD = FitKernel.Total(sd),
        };
    }
}

/// <summary>Sums of the unweighted fit of A, C, S: products of the patterns with each other and with the data.</summary>
internal struct LinearSums
{
    public double FF, FC, FS, CC, CS, SS, FD, CD, SD;

    /// <summary>Solves for A, C, S (without <paramref name="fringes"/> for A alone); false where too few samples tell them apart.</summary>
    public readonly bool TrySolve(bool fringes, out FitParameters parameters)
    {
        parameters = default;
        if (!(FF > 0)) return false;
        if (!fringes)
        {
            parameters.A = FD / FF;
            return true;
        }
        const double relative = 1e-3; // a start only: what is nearly degenerate is left to the weighted fit
        double l1 = FC / FF, l2 = FS / FF, d1 = CC - l1 * FC, e = CS - l2 * FC;
        if (!(d1 > relative * CC)) return false;
        double m = e / d1, d2 = SS - l2 * FS - m * e;
        if (!(d2 > relative * SS)) return false;
        double y1 = CD - l1 * FD, y2 = SD - l2 * FD - m * y1;
        parameters.S = y2 / d2;
        parameters.C = (y1 - e * parameters.S) / d1;
        parameters.A = (FD - FC * parameters.C - FS * parameters.S) / FF;
        return true;
    }
}

/// <summary>cos and sin of start + i·step, sixteen samples at a time: angles within a vector once, from vector to vector by double-precision recurrence.</summary>
internal readonly struct Turning
{
    public readonly Vector512<float> LaneCos, LaneSin;
    public readonly double StepCos, StepSin, Cos, Sin;

    [MethodImpl(MethodImplOptions.NoInlining)]
    public Turning(double start, double step)
    {
        var lanes = Vector512.CreateSequence(0.0, 1.0) * step;
        var (s, c) = Vector512.SinCos(lanes);
        var (s8, c8) = Math.SinCos(8 * step);
        LaneCos = Vector512.Narrow(c, c * c8 - s * s8);
        LaneSin = Vector512.Narrow(s, s * c8 + c * s8);
        // 16 = 8 + 8.
        (StepCos, StepSin) = (c8 * c8 - s8 * s8, 2 * s8 * c8);
        (Sin, Cos) = Math.SinCos(start);
    }

    /// <summary>The next sixteen; <paramref name="cos"/> and <paramref name="sin"/> go on.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Next(
        ref double cos, ref double sin, double stepCos, double stepSin, Vector512<float> laneCos, Vector512<float> laneSin, out Vector512<float> cosines, out Vector512<float> sines)
    {
        Vector512<float> c = Vector512.Create((float)cos), s = Vector512.Create((float)sin);
        cosines = c * laneCos - s * laneSin;
        sines = Vector512.FusedMultiplyAdd(s, laneCos, c * laneSin);
        var next = cos * stepCos - sin * stepSin;
        sin = sin * stepCos + cos * stepSin;
        cos = next;
    }
}
