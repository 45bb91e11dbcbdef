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

    /// <summary>
    /// A first value from the rows' fringe models fitted without the samples near notches: least Huber cost on a grid of ±3 samples
    /// around the prediction where the prediction does not explain the notches, then Gauss–Newton steps. False when no row can tell.
    /// </summary>
    public static bool TryStart(FrameRows frame, double prediction, out double shift)
    {
        shift = prediction;
        var here = Cost(frame, prediction, out var gradient, out var information, out var samples);
        if (!(information > 0)) return false;
        // With the prediction right, the Huber cost is close to one half a sample: twice that asks for a search.
        if (here > samples)
        {
            for (var trial = prediction - SearchSamples; trial <= prediction + SearchSamples; trial += SearchStep)
            {
                var cost = Cost(frame, trial, out var g, out var h, out _);
                if (cost < here && h > 0) (here, shift, gradient, information) = (cost, trial, g, h);
            }
        }
        for (var step = 0; step < MaximumSteps; step++)
        {
            var move = Math.Clamp(gradient / information, -0.5, 0.5);
            shift += move;
            // The notch is straight enough over so small a move; the joint fit does the rest.
            if (Math.Abs(move) < 0.1) break;
            Cost(frame, shift, out gradient, out information, out _);
            if (!(information > 0)) return false;
        }
        return Math.Abs(shift - prediction) <= SearchSamples + 1;
    }

    /// <summary>
    /// One Gauss–Newton step of the joint fit at the shift that is in use: <paramref name="move"/> and the information (1/σ²) on s.
    /// Also fills each row's coupling n_rs = Σ w·b_j·∂μ/∂s.
    /// </summary>
    public static void JointStep(FrameRows frame, Span<ShiftCoupling> couplings, out double move, out double information)
    {
        double gradient = 0;
        information = 0;
        for (var r = 0; r < frame.Rows; r++)
        {
            couplings[r] = default;
            ref var fit = ref frame.Fits[r];
            if (fit.Status != RowStatus.Ok) continue;
            var row = frame.Row(r);
            var p = fit.Parameters;
            double n0 = 0, n1 = 0, n2 = 0, n3 = 0, n4 = 0, g4 = 0;
            for (var k = 0; k < frame.NearCount; k++)
            {
                var i = frame.Near[k];
                if (row.Use[i] == 0) continue;
                double f = row.Flat[i], c = row.Cos[i], s = row.Sin[i], q = row.Notch[i];
                var t = row.Offset[i] * (p.C * s - p.S * c);
                var bare = p.A * f + p.C * c + p.S * s + p.Beta * t;
                var w = 1 / (Math.Max(q * bare, 0) + row.VarianceFloor);
                var b4 = bare * frame.NotchSlope[i];
                n4 += w * b4 * b4;
                g4 += w * b4 * (row.Electrons[i] - q * bare);
                var wb = w * b4 * q;
                n0 += wb * f;
                n1 += wb * c;
                n2 += wb * s;
                n3 += wb * t;
            }
            if (!frame.Fringes) n1 = n2 = n3 = 0;
            fit.Factor.Solve(n0, n1, n2, n3, out var x0, out var x1, out var x2, out var x3);
            couplings[r] = new ShiftCoupling(-x0, -x1, -x2, -x3);
            // The row's own gradient is zero at its optimum; what a settled fit leaves of it is below 0.01 σ.
            information += n4 - (n0 * x0 + n1 * x1 + n2 * x2 + n3 * x3);
            gradient += g4;
        }
        move = information > 0 ? gradient / information : double.NaN;
    }

    private static double Cost(FrameRows frame, double shift, out double gradient, out double information, out int samples)
    {
        double cost = 0;
        gradient = information = 0;
        samples = 0;
        Span<double> q = stackalloc double[frame.NearCount], dq = stackalloc double[frame.NearCount];
        for (var k = 0; k < frame.NearCount; k++)
        {
            q[k] = frame.Notches.TransmissionAt(frame.Near[k], shift);
            dq[k] = frame.Notches.Derivative(frame.Near[k], shift);
        }
        for (var r = 0; r < frame.Rows; r++)
        {
            ref var fit = ref frame.Fits[r];
            if (fit.Status != RowStatus.Ok) continue;
            var row = frame.Row(r);
            var p = fit.Parameters;
            for (var k = 0; k < frame.NearCount; k++)
            {
                var i = frame.Near[k];
                if (row.Allowed[i] == 0) continue;
                var bare = p.A * row.Flat[i] + p.C * row.Cos[i] + p.S * row.Sin[i] + p.Beta * row.Offset[i] * (p.C * row.Sin[i] - p.S * row.Cos[i]);
                var w = 1 / (Math.Max(q[k] * bare, 0) + row.VarianceFloor);
                var residual = row.Electrons[i] - q[k] * bare;
                var z = Math.Abs(residual) * Math.Sqrt(w);
                cost += z <= HuberSigma ? 0.5 * z * z : HuberSigma * (z - 0.5 * HuberSigma);
                if (z > HuberSigma) w *= HuberSigma / z;
                var b = bare * dq[k];
                gradient += w * b * residual;
                information += w * b * b;
                samples++;
            }
        }
        return cost;
    }
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
