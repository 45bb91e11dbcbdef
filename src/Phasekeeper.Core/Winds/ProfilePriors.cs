namespace Phasekeeper.Core.Winds;

/// <summary>
/// What an inversion takes from heights and options alone: prior covariances and spline matrices. Made once for a path geometry and kept with it, since both lines and both
/// passes of an exposure share it.
/// </summary>
internal sealed class ProfilePriors
{
    private readonly LosWindOptions _options;

    private ProfilePriors(LimbPaths paths, LosWindOptions options)
    {
        _options = options;
        int n = paths.Count, u = paths.WindHeightKm.Length;
        (WindToBend, EmissionToBend) = (NaturalSpline.SecondDerivatives(paths.WindHeightKm), NaturalSpline.SecondDerivatives(paths.HeightKm));
        var spacing = paths.HeightKm.Zip(paths.HeightKm.Skip(1), (a, b) => b - a).Min();
        double[] usable = [.. options.WindCorrelationKm.Where(l => l >= options.CorrelationPerSpacing * spacing)];
        CorrelationKm = usable.Length > 0 ? usable : [options.WindCorrelationKm.Max()];
        var waves = new double[u * u];
        for (var i = 0; i < u; i++)
            for (var j = 0; j < u; j++) waves[i * u + j] = options.WaveCovariance(paths.WindHeightKm[i], paths.WindHeightKm[j]);
        Wind = [.. CorrelationKm.Select(l => options.WindPrior(paths.WindHeightKm, n, l, waves, viscous: false))];
        Real = [.. CorrelationKm.Select(l => options.WindPrior(paths.WindHeightKm, n, l, waves, viscous: true))];
        BetweenHeights = ProfilePrior.BetweenHeights(waves, options.WaveCovariance, paths.WindHeightKm, WindToBend, n - 1);
        (Unseen, UnseenRank) = LowRank(ProfilePrior.Covariance([.. paths.HeightKm.Select(options.StiffenedKm)], 1, options.UnseenCorrelationKm), n);
        var process = ProfilePrior.Covariance(paths.HeightKm, EmissionFit.PriorSigma, EmissionFit.PriorLengthKm);
        Emission = new double[(n + 1) * (n + 1)];
        for (var i = 0; i < n; i++) process.AsSpan(i * n, n).CopyTo(Emission.AsSpan(i * (n + 1), n));
        Emission[^1] = options.TopScaleHeightSigma * options.TopScaleHeightSigma;
    }

    /// <summary>Second derivatives of the wind's spline from its values.</summary>
    public double[] WindToBend { get; }
    /// <summary>Second derivatives of ln ε's spline from its values.</summary>
    public double[] EmissionToBend { get; }
    /// <summary>Correlation lengths to choose from, km.</summary>
    public double[] CorrelationKm { get; }
    /// <summary>Prior covariance of the wind for each of them, (m/s)².</summary>
    public double[][] Wind { get; }
    /// <summary>Covariance of real winds for each of them, (m/s)²: what smoothing takes away is taken from these.</summary>
    public double[][] Real { get; }
    /// <summary>Covariance of the wind in the middle of the layers less the spline, layers × layers, (m/s)².</summary>
    public double[] BetweenHeights { get; }
    /// <summary>P with P·Pᵀ the correlation of unseen changes along the ray, heights × rank.</summary>
    public double[] Unseen { get; }
    /// <summary>Columns of <see cref="Unseen"/>.</summary>
    public int UnseenRank { get; }
    /// <summary>Prior covariance of (ln ε, ln H).</summary>
    public double[] Emission { get; }

    /// <summary>The priors of a geometry.</summary>
    public static ProfilePriors Of(LimbPaths paths, LosWindOptions options)
    {
        // Two threads may both make them: they are the same.
        if (paths.Priors is { } kept && ReferenceEquals(kept._options, options)) return kept;
        return paths.Priors = new(paths, options);
    }

    // Pivoted Cholesky: the few columns that hold all but a thousandth of every variance (Golub and Van Loan 2013, section 4.2.8).
    private static (double[] Factor, int Rank) LowRank(double[] a, int n)
    {
        const double rest = 1e-3;
        var columns = new List<double[]>();
        double[] left = [.. Enumerable.Range(0, n).Select(i => a[i * n + i])];
        for (var pivot = Array.IndexOf(left, left.Max()); left[pivot] > rest && columns.Count < n; pivot = Array.IndexOf(left, left.Max()))
        {
            var column = new double[n];
            for (var i = 0; i < n; i++)
            {
                var sum = a[i * n + pivot];
                foreach (var c in columns) sum -= c[i] * c[pivot];
                column[i] = sum / Math.Sqrt(left[pivot]);
            }
            for (var i = 0; i < n; i++) left[i] -= column[i] * column[i];
            columns.Add(column);
        }
        var factor = new double[n * columns.Count];
        for (var i = 0; i < n; i++)
            for (var c = 0; c < columns.Count; c++) factor[i * columns.Count + c] = columns[c][i];
        return (factor, columns.Count);
    }
}
