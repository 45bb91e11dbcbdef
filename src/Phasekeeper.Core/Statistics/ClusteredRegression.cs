namespace Phasekeeper.Core.Statistics;

/// <summary>
/// Robust regression of points in clusters: y = X·b + u(cluster) + shared error + own error. Weights: Huber's to start with, then Tukey's biweight, which leaves gross errors out altogether (P. J. Huber, Robust Statistics
/// (1981), chapter 7; Venables and Ripley, Modern Applied Statistics with S, 4th ed., section 6.5). A bad point's own variance is raised by 1/weight, so that it does not speak for its cluster; the size of u follows from the data, and a
/// cluster that stands far off loses weight as a whole.
/// <para>
/// Covariance: from the estimates that result when one cluster is left out at a time (the jackknife, called CR3 for clusters: J. G. MacKinnon, H. White (1985), J. Econometrics 29, 305, doi 10.1016/0304-4076(85)90158-7), widened where neighbouring
/// clusters pull alike, and never less than the points' own errors alone would give.
/// </para>
/// </summary>
public static class ClusteredRegression
{
    /// <summary>Huber's bend in scales: 95 % efficiency for normal errors.</summary>
    public const double HuberBend = 1.345;

    /// <summary>Tukey's cut in scales: 95 % efficiency for normal errors; points beyond it are left out.</summary>
    public const double TukeyCut = 4.685;

    // Chosen: the start is settled to a per cent of σ by then; the end is checked.
    private const int HuberRounds = 15, MostRounds = 200;
    private const double Settled = 1e-7; // of σ
    private const double LeastScale = 1e-9; // data without any scatter
    private const double LeastWeight = 1e-6; // a point or cluster below it is out
    private const int LeastClusters = 5; // to tell how much they scatter, or that one stands off (chosen)

    /// <summary>Fits; null when the columns are dependent or points are fewer than parameters.</summary>
    /// <param name="clusters">Points, clusters in the order of their numbers.</param>
    /// <param name="tukeyCut">Cut in scales; infinite = plain least squares.</param>
    public static ClusteredFit? TryFit(IReadOnlyList<PointCluster> clusters, double tukeyCut = TukeyCut)
    {
        ArgumentNullException.ThrowIfNull(clusters);
        PointCluster[] used = [.. clusters];
        var points = used.Sum(c => c.Values.Length);
        if (points == 0) return null;
        // With one point each, u and the points' own errors are the same thing.
        var common = used.Length >= LeastClusters && points >= 2 * used.Length;
        var state = new ClusterState(used);
        if (state.Solve() is not { } fit) return null;
        for (var round = 0; round < MostRounds; round++)
        {
            if (!state.Reweigh(fit.Estimate, common, double.IsInfinity(tukeyCut) ? null : round < HuberRounds ? Huber : z => Tukey(z, tukeyCut))) return null;
            if (state.Solve() is not { } next) return null;
            var still = Enumerable.Range(0, next.Estimate.Length).All(j => Math.Abs(next.Estimate[j] - fit.Estimate[j]) <= Settled * next.Sigma(j));
            fit = next;
            if (still && round > HuberRounds) break;
        }
        return new(fit.Estimate, ClusterCovariance.Of(state, fit), state.Weights, state.Scale, state.ClusterSigma);
    }

    private static double Huber(double z) => z <= HuberBend ? 1 : HuberBend / z;

    private static double Tukey(double z, double cut)
    {
        var rest = z < cut ? 1 - z * z / (cut * cut) : 0;
        return rest * rest < LeastWeight ? 0 : rest * rest;
    }

    /// <summary>Weights and sizes on the way.</summary>
    internal sealed class ClusterState
    {
        private readonly double[] _clusterWeights;

        public ClusterState(PointCluster[] clusters)
        {
            Clusters = clusters;
            Weights = [.. clusters.Select(c => Filled(c.Values.Length))];
            _clusterWeights = Filled(clusters.Length);
            White = new (double[][], double[])[clusters.Length];
        }

        public PointCluster[] Clusters { get; }
        public double[][] Weights { get; }
        public double Scale { get; private set; } = 1;
        public double ClusterSigma { get; private set; }

        /// <summary>Design and values of each cluster made independent with unit variance.</summary>
        public (double[][] Design, double[] Values)[] White { get; }

        /// <summary>Generalized least squares with the weights of now.</summary>
        public LeastSquaresResult? Solve()
        {
            List<double[]> design = [];
            List<double> values = [];
            for (var c = 0; c < Clusters.Length; c++)
            {
                if (Whiten(c) is not { } white) return null;
                White[c] = white;
                design.AddRange(white.Design);
                values.AddRange(white.Values);
            }
            return LinearLeastSquares.TryFit([.. design], [.. values], Filled(values.Count));
        }

        private (double[][] Design, double[] Values)? Whiten(int index)
        {
            var cluster = Clusters[index];
            int[] kept = [.. Enumerable.Range(0, cluster.Values.Length).Where(i => Weights[index][i] > 0)];
            if (kept.Length == 0) return ([], []);
            var variance = ClusterSigma * ClusterSigma / _clusterWeights[index];
            var covariance = new double[kept.Length][];
            for (var a = 0; a < kept.Length; a++)
            {
                covariance[a] = new double[kept.Length];
                for (var b = 0; b <= a; b++) covariance[a][b] = variance + (cluster.Shared?[kept[a]][kept[b]] ?? 0);
                // The points' own errors are a floor, also where the scatter found happens to be less.
                var own = Math.Max(1, Scale) * cluster.Sigmas[kept[a]];
                covariance[a][a] += own * own / Weights[index][kept[a]];
            }
            if (Cholesky.TryFactor(covariance) is not { } factor) return null;
            var columns = cluster.Design[0].Length;
            double[][] white = [.. kept.Select(_ => new double[columns])];
            for (var j = 0; j < columns; j++)
            {
                var column = factor.Whiten([.. kept.Select(i => cluster.Design[i][j])]);
                for (var a = 0; a < kept.Length; a++) white[a][j] = column[a];
            }
            return (white, factor.Whiten([.. kept.Select(i => cluster.Values[i])]));
        }

        /// <summary>New sizes and weights from the residuals; false where the numbers are not finite.</summary>
        public bool Reweigh(double[] estimate, bool common, Func<double, double>? weight)
        {
            double[][] residuals = [.. Clusters.Select(c => Residuals(c, estimate))];
            if (!residuals.All(r => r.All(double.IsFinite))) return false;
            var shrink = new double[Clusters.Length];
            double[] medians = [.. residuals.Select(r => RobustStatistics.Median(r))];
            // Variance of a cluster's median by its points' own errors.
            double[] own = [.. Clusters.Select(c => c.Values.Length == 0 ? 0 : Math.PI / 2 * Scale * Scale * c.Sigmas.Average(s => s * s) / c.Values.Length)];
            if (common)
            {
                var spread = RobustStatistics.MadToSigma * RobustStatistics.Mad(medians, 0);
                ClusterSigma = Math.Sqrt(Math.Max(0, spread * spread - RobustStatistics.Median(own)));
                for (var c = 0; c < Clusters.Length; c++)
                {
                    var total = ClusterSigma * ClusterSigma + own[c];
                    shrink[c] = total > 0 ? ClusterSigma * ClusterSigma / total : 0;
                    if (weight is not null && ClusterSigma > 0) _clusterWeights[c] = Math.Max(LeastWeight, weight(Math.Abs(medians[c]) / Math.Sqrt(total)));
                    // A cluster that stands far off is judged about its own middle.
                    if (_clusterWeights[c] < 1) shrink[c] = 1 - _clusterWeights[c] * (1 - shrink[c]);
                }
            }
            double[][] z = [.. residuals.Select((r, c) => r.Select((v, i) => (v - shrink[c] * medians[c]) / Clusters[c].Sigmas[i]).ToArray())];
            double[] all = [.. z.SelectMany(v => v)];
            // Each middle that was taken out costs a degree of freedom.
            var freedom = Math.Max(1, all.Length - shrink.Sum());
            Scale = Math.Max(LeastScale, RobustStatistics.MadToSigma * RobustStatistics.Mad(all, 0) * Math.Sqrt(all.Length / freedom));
            if (weight is null) return true;
            for (var c = 0; c < z.Length; c++)
                for (var i = 0; i < z[c].Length; i++) Weights[c][i] = weight(Math.Abs(z[c][i]) / Scale);
            return true;
        }

        private static double[] Residuals(PointCluster cluster, double[] estimate)
        {
            var residuals = (double[])cluster.Values.Clone();
            for (var i = 0; i < residuals.Length; i++)
                for (var j = 0; j < estimate.Length; j++) residuals[i] -= cluster.Design[i][j] * estimate[j];
            return residuals;
        }

        private static double[] Filled(int count)
        {
            var ones = new double[count];
            Array.Fill(ones, 1.0);
            return ones;
        }
    }
}
