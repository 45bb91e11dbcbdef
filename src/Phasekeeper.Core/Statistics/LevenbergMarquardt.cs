namespace Phasekeeper.Core.Statistics;

/// <summary>
/// Nonlinear least squares by Levenberg–Marquardt with Marquardt's scaling and a Jacobian from central differences (step ∛ε of each
/// parameter). Each step solves the damped problem by QR. Meets the NIST StRD values of Misra1a and Thurber from both certified starts
/// (test Certified_values_of_the_nonlinear_reference_sets_are_met).
/// Reference: J. J. Moré (1978), Lecture Notes in Mathematics 630, 105, doi 10.1007/BFb0067700.
/// </summary>
public static class LevenbergMarquardt
{
    private const double DifferenceStep = 6.0554544523933395e-6; // ∛(2⁻⁵²)

    /// <summary>Fits y_i = model(x_i, b); null when it does not settle within <paramref name="maxIterations"/>.</summary>
    /// <param name="residuals">y − model for given parameters; same length each time.</param>
    /// <param name="start">Starting parameters.</param>
    /// <param name="sigmaKnown">True: residuals are already divided by their σ. False: the covariance is scaled by RSS/ν.</param>
    /// <param name="maxIterations">Limit of accepted and refused steps together.</param>
    public static LeastSquaresResult? TryFit(Func<double[], double[]> residuals, double[] start, bool sigmaKnown = false, int maxIterations = 500)
    {
        var b = (double[])start.Clone();
        var r = residuals(b);
        var rss = Sum(r);
        if (!double.IsFinite(rss)) return null;
        var damping = 1e-3;
        var settled = 0;
        for (var iteration = 0; iteration < maxIterations && settled < 2; iteration++)
        {
            var jacobian = Jacobian(residuals, b, r.Length);
            var step = DampedStep(jacobian, r, damping);
            if (step is null) return null;
            var trial = b.Zip(step, (x, s) => x + s).ToArray();
            var trialR = residuals(trial);
            var trialRss = Sum(trialR);
            if (trialRss <= rss)
            {
                var small = step.Zip(trial, (s, x) => Math.Abs(s) <= 1e-11 * Math.Abs(x) + 1e-300).All(v => v);
                settled = small || rss - trialRss <= 1e-15 * rss ? settled + 1 : 0;
                (b, r, rss) = (trial, trialR, trialRss);
                damping = Math.Max(damping / 9, 1e-20);
            }
            else
            {
                if (damping > 1e12) settled = 2;
                damping *= 11;
            }
        }
        if (settled < 2) return null;
        var final = Jacobian(residuals, b, r.Length);
        var unit = new double[r.Length];
        Array.Fill(unit, 1.0);
        // residual = y − model, so the design (∂model/∂b) is minus the Jacobian; the covariance does not see the sign.
        return LinearLeastSquares.TryFit(final, r, unit) is not { } linear ? null : Finish(b, linear.Covariance, rss, r.Length - b.Length, sigmaKnown);
    }

    private static LeastSquaresResult? Finish(double[] b, double[][] covariance, double rss, int freedom, bool sigmaKnown)
    {
        if (!sigmaKnown)
        {
            if (freedom <= 0) return null;
            foreach (var row in covariance)
                for (var j = 0; j < row.Length; j++) row[j] *= rss / freedom;
        }
        return new(b, covariance, rss, freedom);
    }

    private static double[]? DampedStep(double[][] jacobian, double[] r, double damping)
    {
        int n = r.Length, p = jacobian[0].Length;
        var design = new double[n + p][];
        var rhs = new double[n + p];
        var unit = new double[n + p];
        Array.Fill(unit, 1.0);
        for (var i = 0; i < n; i++)
        {
            design[i] = jacobian[i].Select(v => -v).ToArray();
            rhs[i] = r[i];
        }
        for (var j = 0; j < p; j++)
        {
            double square = 0;
            for (var i = 0; i < n; i++) square += jacobian[i][j] * jacobian[i][j];
            design[n + j] = new double[p];
            design[n + j][j] = Math.Sqrt(damping * square);
        }
        return LinearLeastSquares.TryFit(design, rhs, unit)?.Estimate;
    }

    private static double[][] Jacobian(Func<double[], double[]> residuals, double[] b, int n)
    {
        var jacobian = new double[n][];
        for (var i = 0; i < n; i++) jacobian[i] = new double[b.Length];
        for (var j = 0; j < b.Length; j++)
        {
            var h = DifferenceStep * (b[j] == 0 ? 1 : Math.Abs(b[j]));
            var shifted = (double[])b.Clone();
            shifted[j] = b[j] + h;
            var up = residuals(shifted);
            var upper = shifted[j];
            shifted[j] = b[j] - h;
            var down = residuals(shifted);
            for (var i = 0; i < n; i++) jacobian[i][j] = (up[i] - down[i]) / (upper - shifted[j]);
        }
        return jacobian;
    }

    private static double Sum(double[] r)
    {
        double sum = 0;
        foreach (var v in r) sum += v * v;
        return double.IsFinite(sum) ? sum : double.PositiveInfinity;
    }
}
