using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Phasekeeper.Core.Fringes;

/// <summary>
/// Image shift s of one exposure from the fiducials of all its rows: maximum likelihood of the counts near the notches, with the
/// fringe parameters of every row free as well (Schur complement of the joint normal matrix), so that the uncertainty is
/// that of the joint fit.
/// </summary>
internal static class ImageShiftFit
{
    private const double HuberSigma = 3;
    private const double SearchSamples = 3;
    private const double SearchStep = 0.5;
    private const int MaximumSteps = 12;
    // Squared step in units of σ², after which the first value is good enough: the joint fit does the rest.
    private const double SettledStep2 = 0.1;

    /// <summary>Rows that a first value is taken from.</summary>
    public const int Scouts = 6;

    /// <summary>
    /// A first value from some rows, started without the samples near notches: least Huber cost on a grid of ±3 samples around the prediction where the
    /// prediction does not explain the notches, then Gauss–Newton steps. False when the rows cannot tell. Leaves the notches filled at another shift than the one found.
    /// </summary>
    public static bool TryStart(FrameRows frame, FiducialNotches notches, ReadOnlySpan<int> rows, double prediction, out double shift)
    {
        shift = prediction;
        var here = CostAt(frame, notches, rows, prediction);
        if (!(here.Information > 0)) return false;
        // With the prediction right, the Huber cost is close to one half a sample: twice that asks for a search.
        if (here.Cost > here.Samples)
        {
            for (var trial = prediction - SearchSamples; trial <= prediction + SearchSamples; trial += SearchStep)
            {
                var there = CostAt(frame, notches, rows, trial);
                if (there.Cost < here.Cost && there.Information > 0) (here, shift) = (there, trial);
            }
        }
        for (var step = 0; step < MaximumSteps; step++)
        {
            var move = Math.Clamp(here.Gradient / here.Information, -0.5, 0.5);
            shift += move;
            if (move * move * here.Information < SettledStep2) break;
            here = CostAt(frame, notches, rows, shift);
            if (!(here.Information > 0)) return false;
        }
        return Math.Abs(shift - prediction) <= SearchSamples + 1;
    }

    /// <summary>
    /// One Gauss–Newton step of the joint fit at the shift that is in use: <paramref name="move"/> and the information (1/σ²) on s.
    /// Also fills each row's coupling n_rs = Σ w·b_j·∂μ/∂s.
    /// </summary>
    public static void JointStep(FrameRows frame, out double move, out double information)
    {
        double gradient = 0;
        information = 0;
        for (var r = 0; r < frame.Rows; r++)
        {
            frame.Work.Couplings[r] = default;
            ref var fit = ref frame.Fits[r];
            if (fit.Status != RowStatus.Ok) continue;
            ref readonly var sums = ref frame.Work.Shifts[r];
            double n1 = sums.N1, n2 = sums.N2, n3 = sums.N3;
            if (!frame.Fringes) n1 = n2 = n3 = 0;
            fit.Factor.Solve(sums.N0, n1, n2, n3, out var x0, out var x1, out var x2, out var x3);
            frame.Work.Couplings[r] = new ShiftCoupling(-x0, -x1, -x2, -x3);
            // The row's own gradient is zero at its optimum; what a settled fit leaves of it is below 0.01 σ.
            information += sums.N4 - (sums.N0 * x0 + n1 * x1 + n2 * x2 + n3 * x3);
            gradient += sums.G4;
        }
        move = information > 0 ? gradient / information : double.NaN;
    }

    /// <summary>What one fitted row says of the image shift: sums over the vectors near notches; elsewhere dq/ds is zero.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static ShiftSums Pass(in RowData row, in FitParameters p, FiducialWindow notch)
    {
        ref var d = ref MemoryMarshal.GetReference(row.Electrons);
        ref var f = ref MemoryMarshal.GetReference(row.Flat);
        ref var c = ref MemoryMarshal.GetReference(row.Cos);
        ref var s = ref MemoryMarshal.GetReference(row.Sin);
        ref var q = ref MemoryMarshal.GetReference(row.Notch);
        ref var u = ref MemoryMarshal.GetReference(row.Offset);
        ref var use = ref MemoryMarshal.GetReference(row.Use);
        ref var slope = ref MemoryMarshal.GetArrayDataReference(notch.Slope);
        Vector512<float> va = Vector512.Create((float)p.A), vc = Vector512.Create((float)p.C), vs = Vector512.Create((float)p.S), vb = Vector512.Create((float)p.Beta);
        Vector512<float> floor = Vector512.Create((float)row.VarianceFloor), zero = Vector512<float>.Zero;
        Vector512<float> n0 = zero, n1 = zero, n2 = zero, n3 = zero, n4 = zero, g4 = zero;
        foreach (var start in notch.Near)
        {
            var i = (nuint)start;
            Vector512<float> xf = Vector512.LoadUnsafe(ref f, i), xc = Vector512.LoadUnsafe(ref c, i), xs = Vector512.LoadUnsafe(ref s, i), xq = Vector512.LoadUnsafe(ref q, i);
            var xt = Vector512.LoadUnsafe(ref u, i) * (vc * xs - vs * xc);
            var bare = va * xf + vc * xc + vs * xs + vb * xt;
            var mean = xq * bare;
            var w = Vector512.LoadUnsafe(ref use, i) / (Vector512.MaxNative(mean, zero) + floor);
            var b4 = bare * Vector512.LoadUnsafe(ref slope, i);
            var wb4 = w * b4;
            n4 += wb4 * b4;
            g4 += wb4 * (Vector512.LoadUnsafe(ref d, i) - mean);
            var wb = wb4 * xq;
            n0 += wb * xf;
            n1 += wb * xc;
            n2 += wb * xs;
            n3 += wb * xt;
        }
        return new ShiftSums
        {
            N0 = FitKernel.Total(n0),
            N1 = FitKernel.Total(n1),
            N2 = FitKernel.Total(n2),
            N3 = FitKernel.Total(n3),
            N4 = FitKernel.Total(n4),
            G4 = FitKernel.Total(g4),
        };
    }

    private readonly record struct ShiftCost(double Cost, double Gradient, double Information, double Samples);

    /// <summary>Huber cost of the scout rows at a shift, with its gradient and information; fills the notches there.</summary>
    private static ShiftCost CostAt(FrameRows frame, FiducialNotches notches, ReadOnlySpan<int> rows, double shift)
    {
        notches.Fill(shift, frame.Work.Notch);
        Vector512<float> zero = Vector512<float>.Zero, cost = zero, gradient = zero, information = zero, samples = zero;
        for (var k = 0; k < rows.Length; k++)
        {
            ref var fit = ref frame.Fits[rows[k]];
            if (!fit.Started) continue;
            AddCost(frame.Row(rows[k], frame.Work.Scouts[k]), fit.Parameters, frame.Work.Notch, ref cost, ref gradient, ref information, ref samples);
        }
        return new(FitKernel.Total(cost), FitKernel.Total(gradient), FitKernel.Total(information), FitKernel.Total(samples));
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void AddCost(
        in RowData row, in FitParameters p, FiducialWindow notch,
        ref Vector512<float> cost, ref Vector512<float> gradient, ref Vector512<float> information, ref Vector512<float> samples)
    {
        ref var d = ref MemoryMarshal.GetReference(row.Electrons);
        ref var f = ref MemoryMarshal.GetReference(row.Flat);
        ref var c = ref MemoryMarshal.GetReference(row.Cos);
        ref var s = ref MemoryMarshal.GetReference(row.Sin);
        ref var q = ref MemoryMarshal.GetReference(row.Notch);
        ref var allowed = ref MemoryMarshal.GetReference(row.Allowed);
        ref var slope = ref MemoryMarshal.GetArrayDataReference(notch.Slope);
        ref var far = ref MemoryMarshal.GetArrayDataReference(notch.Far);
        Vector512<float> va = Vector512.Create((float)p.A), vc = Vector512.Create((float)p.C), vs = Vector512.Create((float)p.S);
        Vector512<float> floor = Vector512.Create((float)row.VarianceFloor), zero = Vector512<float>.Zero, one = Vector512<float>.One;
        Vector512<float> k = Vector512.Create((float)HuberSigma), half = Vector512.Create(0.5f);
        foreach (var start in notch.Near)
        {
            var i = (nuint)start;
            var bare = va * Vector512.LoadUnsafe(ref f, i) + vc * Vector512.LoadUnsafe(ref c, i) + vs * Vector512.LoadUnsafe(ref s, i);
            var mean = bare * Vector512.LoadUnsafe(ref q, i);
            var counted = Vector512.LoadUnsafe(ref allowed, i) * (one - Vector512.LoadUnsafe(ref far, i));
            var w = counted / (Vector512.MaxNative(mean, zero) + floor);
            var residual = Vector512.LoadUnsafe(ref d, i) - mean;
            var z = Vector512.Sqrt(residual * residual * w);
            var held = Vector512.MinNative(z, k);
            // ½z² within k, k·(z − ½k) beyond.
            cost += held * (z - half * held);
            w *= k / Vector512.MaxNative(z, k);
            var b = bare * Vector512.LoadUnsafe(ref slope, i);
            gradient += w * b * residual;
            information += w * b * b;
            samples += counted;
        }
    }
}

/// <summary>Products of a row's pattern with ∂μ/∂s, and the gradient in s.</summary>
internal struct ShiftSums
{
    public double N0, N1, N2, N3, N4, G4;
}

/// <summary>How a row's parameters move per sample of image shift, with the data held: −N⁻¹·n_s.</summary>
internal readonly record struct ShiftCoupling(double A, double C, double S, double Beta)
{
    /// <summary>Carries a small move of s into a row's parameters.</summary>
    public void Carry(ref RowFit fit, double move)
    {
        fit.Parameters.A += A * move;
        fit.Parameters.C += C * move;
        fit.Parameters.S += S * move;
        fit.Parameters.Beta += Beta * move;
    }
}
