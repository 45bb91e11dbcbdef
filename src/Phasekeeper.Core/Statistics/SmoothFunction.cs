namespace Phasekeeper.Core.Statistics;

/// <summary>A layer of a <see cref="SmoothFunction"/>: cubic B-splines on an even grid.</summary>
/// <param name="SpacingS">Knot spacing, s: the time over which the layer can change.</param>
/// <param name="Amplitudes">Candidate prior standard deviations of its coefficients; the data weigh them by marginal likelihood.</param>
public sealed record SmoothLayer(double SpacingS, IReadOnlyList<double> Amplitudes);

/// <summary>
/// A smooth function of time fitted to noisy points, with its uncertainty: f(t) = Σ regressors + Σ layers of cubic B-splines with independent normal
/// priors on their coefficients. Candidate amplitudes on a fixed grid are averaged with their marginal likelihood as weight, so quiet data give a stiff curve
/// and moving data a supple one, and not knowing which is part of the uncertainty. Where there are no data, it returns to the regressors and σ grows to the prior's.
/// When χ² per degree of freedom exceeds 1, σ is scaled by its root. Reference: C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine
/// Learning (2006), sections 2.2 and 5.4. How right σ is: test Smooth_shift_uncertainty_matches_its_error.
/// </summary>
public sealed class SmoothFunction
{
    private readonly double _fromS;
    private readonly double _toS;
    private readonly IReadOnlyList<SmoothLayer> _layers;
    private readonly Lazy<double[][]> _gain; // posterior covariance · Xᵀ C⁻¹, [parameter][point]
    private readonly double[] _beta;
    private readonly double[][] _posterior;

    private SmoothFunction(double fromS, double toS, IReadOnlyList<SmoothLayer> layers, double[] beta, double[][] posterior, Func<double[][]> gain, double chiSquare)
    {
        (_fromS, _toS, _layers) = (fromS, toS, layers);
        (_beta, _posterior, _gain, ReducedChiSquare) = (beta, posterior, new(gain, LazyThreadSafetyMode.None), chiSquare);
    }

    /// <summary>χ² per degree of freedom (effective parameters counted) of the fit.</summary>
    public double ReducedChiSquare { get; }

    /// <summary>Estimates of the parameters; the regressors come first.</summary>
    public IReadOnlyList<double> Parameters => _beta;

    /// <summary>1σ of a parameter.</summary>
    public double ParameterSigma(int index) => Math.Sqrt(_posterior[index][index]);

    /// <summary>Fits; null when no candidate amplitude gives a solvable system.</summary>
    /// <param name="fromS">Start of the grid of knots, s.</param>
    /// <param name="toS">End of the grid.</param>
    /// <param name="t">Times of the points, s.</param>
    /// <param name="y">Values.</param>
    /// <param name="noise">Errors of the points.</param>
    /// <param name="regressors">Values of the regressors at the points, [point][regressor].</param>
    /// <param name="regressorSigma">Prior standard deviation of each regressor's coefficient (mean 0).</param>
    /// <param name="layers">Spline layers.</param>
    public static SmoothFunction? TryFit(
        double fromS, double toS, double[] t, double[] y, PointNoise noise, double[][] regressors, double[] regressorSigma, IReadOnlyList<SmoothLayer> layers)
    {
        var n = t.Length;
        var sizes = layers.Select(l => Columns(fromS, toS, l.SpacingS)).ToArray();
        var p = regressorSigma.Length + sizes.Sum();
        var x = new double[n][];
        for (var i = 0; i < n; i++) x[i] = Row(t[i], regressors[i], fromS, toS, layers, p);

        // White design by columns: G = XᵀC⁻¹X, b = XᵀC⁻¹y.
        var white = new double[p][];
        var column = new double[n];
        for (var j = 0; j < p; j++)
        {
            for (var i = 0; i < n; i++) column[i] = x[i][j];
            white[j] = noise.Whiten(column);
        }
        var whiteY = noise.Whiten(y);
        var g = new double[p][];
        var b = new double[p];
        for (var j = 0; j < p; j++)
        {
            g[j] = new double[p];
            for (var k = 0; k <= j; k++) g[j][k] = g[k][j] = Dot(white[j], white[k]);
            b[j] = Dot(white[j], whiteY);
        }
        var yy = Dot(whiteY, whiteY);

        List<(double Score, double[] Prior, Cholesky Scaled)> candidates = [];
        foreach (var choice in Choices(layers))
        {
            var prior = new double[p];
            for (var j = 0; j < regressorSigma.Length; j++) prior[j] = regressorSigma[j];
            var at = regressorSigma.Length;
            for (var l = 0; l < layers.Count; l++)
                for (var k = 0; k < sizes[l]; k++) prior[at++] = choice[l];
            // With β = P·u, u ~ N(0, 1): ln p(y) = −½ ( ln|I + PGP| + yᵀC⁻¹y − (Pb)ᵀ(I + PGP)⁻¹(Pb) ) + const.
            if (Factor(g, prior) is not { } scaled) continue;
            var pb = b.Zip(prior, (v, s) => v * s).ToArray();
            candidates.Add((-0.5 * (scaled.LogDeterminant + yy - Dot(pb, scaled.Solve(pb))), prior, scaled));
        }
        if (candidates.Count == 0) return null;

        // Mixture of the candidates by their likelihood: mean of the means; covariance = mean covariance + scatter of the means.
        var top = candidates.Max(c => c.Score);
        var total = candidates.Sum(c => Math.Exp(c.Score - top));
        var mixed = Square(p);
        var beta = new double[p];
        List<(double Weight, double[] Beta)> means = [];
        double effective = 0;
        foreach (var (score, prior, scaled) in candidates)
        {
            var weight = Math.Exp(score - top) / total;
            if (weight < 1e-4) continue;
            var covariance = scaled.Inverse();
            for (var j = 0; j < p; j++)
            {
                effective += weight * (1 - covariance[j][j]);
                for (var k = 0; k < p; k++)
                {
                    covariance[j][k] *= prior[j] * prior[k];
                    mixed[j][k] += weight * covariance[j][k];
                }
            }
            double[] mean = [.. covariance.Select(row => Dot(row, b))];
            means.Add((weight, mean));
            for (var j = 0; j < p; j++) beta[j] += weight * mean[j];
        }
        var posterior = Square(p);
        for (var j = 0; j < p; j++)
            for (var k = 0; k < p; k++)
            {
                posterior[j][k] = mixed[j][k];
                foreach (var (weight, mean) in means) posterior[j][k] += weight * (mean[j] - beta[j]) * (mean[k] - beta[k]);
            }
        var residual = (double[])whiteY.Clone();
        for (var j = 0; j < p; j++)
            for (var i = 0; i < n; i++) residual[i] -= white[j][i] * beta[j];
        var freedom = n - effective;
        var chi = freedom > 1 ? Dot(residual, residual) / freedom : 1;
        if (chi > 1)
            foreach (var row in posterior)
                for (var k = 0; k < p; k++) row[k] *= chi;
        return new(fromS, toS, layers, beta, posterior, () => Gain(mixed, x, noise), chi);
    }

    /// <summary>f at a moment for given regressor values, and its 1σ.</summary>
    public (double Value, double Sigma) At(double t, double[] regressors)
    {
        var row = Row(t, regressors, _fromS, _toS, _layers, _beta.Length);
        return (Dot(row, _beta), Math.Sqrt(Math.Max(0, Quadratic(row, row))));
    }

    /// <summary>Covariance of f at two moments.</summary>
    public double Covariance(double t1, double[] regressors1, double t2, double[] regressors2) =>
        Quadratic(Row(t1, regressors1, _fromS, _toS, _layers, _beta.Length), Row(t2, regressors2, _fromS, _toS, _layers, _beta.Length));

    /// <summary>∂f(t)/∂y_i: the weight of every point in the curve at t (weights of the amplitudes held).</summary>
    public double[] Weights(double t, double[] regressors)
    {
        var row = Row(t, regressors, _fromS, _toS, _layers, _beta.Length);
        var gain = _gain.Value;
        var points = gain[0].Length;
        var weights = new double[points];
        for (var j = 0; j < row.Length; j++)
            if (row[j] != 0)
                for (var i = 0; i < points; i++) weights[i] += row[j] * gain[j][i];
        return weights;
    }

    private static double[][] Gain(double[][] posterior, double[][] x, PointNoise noise)
    {
        int n = x.Length, p = posterior.Length;
        var gain = new double[p][];
        for (var j = 0; j < p; j++)
        {
            var px = new double[n];
            for (var i = 0; i < n; i++) px[i] = Dot(posterior[j], x[i]);
            gain[j] = noise.Solve(px);
        }
        return gain;
    }

    private static double[][] Square(int size)
    {
        var matrix = new double[size][];
        for (var i = 0; i < size; i++) matrix[i] = new double[size];
        return matrix;
    }

    private static Cholesky? Factor(double[][] g, double[] prior)
    {
        var p = prior.Length;
        var a = new double[p][];
        for (var j = 0; j < p; j++)
        {
            a[j] = new double[p];
            for (var k = 0; k <= j; k++) a[j][k] = prior[j] * g[j][k] * prior[k] + (j == k ? 1 : 0);
        }
        return Cholesky.TryFactor(a);
    }

    private static IEnumerable<double[]> Choices(IReadOnlyList<SmoothLayer> layers)
    {
        IEnumerable<double[]> all = [[]];
        foreach (var layer in layers) all = all.SelectMany(a => layer.Amplitudes, (a, s) => (double[])[.. a, s]);
        return all;
    }

    private static int Columns(double fromS, double toS, double spacingS) => Math.Max(1, (int)Math.Ceiling((toS - fromS) / spacingS)) + 3;

    private static double[] Row(double t, double[] regressors, double fromS, double toS, IReadOnlyList<SmoothLayer> layers, int size)
    {
        var row = new double[size];
        regressors.CopyTo(row, 0);
        var at = regressors.Length;
        foreach (var layer in layers)
        {
            var columns = Columns(fromS, toS, layer.SpacingS);
            var u = Math.Clamp((t - fromS) / layer.SpacingS, 0, columns - 3 - 1e-9);
            var i = (int)u;
            var v = u - i;
            var w = 1 - v;
            row[at + i] = w * w * w / 6;
            row[at + i + 1] = (3 * v * v * v - 6 * v * v + 4) / 6;
            row[at + i + 2] = (3 * w * w * w - 6 * w * w + 4) / 6;
            row[at + i + 3] = v * v * v / 6;
            at += columns;
        }
        return row;
    }

    private double Quadratic(double[] a, double[] b)
    {
        double sum = 0;
        for (var i = 0; i < a.Length; i++)
            if (a[i] != 0) sum += a[i] * Dot(_posterior[i], b);
        return sum;
    }

    private static double Dot(double[] a, double[] b)
    {
        double sum = 0;
        for (var i = 0; i < a.Length; i++) sum += a[i] * b[i];
        return sum;
    }
}
