namespace Phasekeeper.Core.Statistics;

/// <summary>Weights and sizes of errors on the way of a <see cref="ClusteredRegression"/>.</summary>
internal sealed class ClusterState
{
    /// <summary>A point below it is out.</summary>
    public const double LeastWeight = 1e-6;

    private const double LeastScale = 1e-9; // data without any scatter
    private const int LeastClusters = 5; // to tell how much they scatter, or that one stands off (chosen)
    private const int SpreadRounds = 10;

    private readonly double[] _clusterVariance;
    private readonly bool _common;

    public ClusterState(PointCluster[] clusters)
    {
        Clusters = clusters;
        Weights = [.. clusters.Select(c => Filled(c.Values.Length))];
        White = new (double[][], double[])[clusters.Length];
        _clusterVariance = new double[clusters.Length];
        // With one point each, u and the points' own errors are the same thing.
        _common = clusters.Length >= LeastClusters && clusters.Sum(c => c.Values.Length) >= 2 * clusters.Length;
    }

    /// <summary>The points.</summary>
    public PointCluster[] Clusters { get; }

    /// <summary>Weight 0…1 of each point.</summary>
    public double[][] Weights { get; }

    /// <summary>Scatter within clusters in units of the points' σ.</summary>
    public double Scale { get; private set; } = 1;

    /// <summary>1σ of u.</summary>
    public double ClusterSigma { get; private set; }

    /// <summary>Design and values of each cluster's points made independent with unit variance.</summary>
    public (double[][] Design, double[] Values)[] White { get; }

    /// <summary>Generalized least squares with the weights of now; null when degenerate.</summary>
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

    /// <summary>New sizes by medians and new weights from the residuals.</summary>
    public void Reweigh(double[] estimate, Func<double, double> weight)
    {
        double[][] residuals = [.. Clusters.Select(c => Residuals(c, estimate))];
        double[] medians = [.. residuals.Select(r => RobustStatistics.Median(r))];
        var shrink = new double[Clusters.Length];
        if (_common)
        {
            double[] own = [.. Enumerable.Range(0, Clusters.Length).Select(MedianVariance)];
            var spread = RobustStatistics.MadToSigma * RobustStatistics.Mad(medians, 0);
            ClusterSigma = Math.Sqrt(Math.Max(0, spread * spread - RobustStatistics.Median(own)));
            for (var c = 0; c < Clusters.Length; c++)
            {
                var total = ClusterSigma * ClusterSigma + own[c];
                var kept = Math.Max(LeastWeight, total > 0 ? weight(Math.Abs(medians[c]) / Math.Sqrt(total)) : 1);
                // A cluster that stands off has a wide u, and is judged about its own middle.
                _clusterVariance[c] = total / kept - own[c];
                shrink[c] = total > 0 ? _clusterVariance[c] / (_clusterVariance[c] + own[c]) : 0;
            }
        }
        double[][] z = [.. residuals.Select((r, c) => r.Select((v, i) => Math.Abs(v - shrink[c] * medians[c]) / Clusters[c].Sigmas[i]).ToArray())];
        // The point that is its cluster's middle has no distance of its own: as many of the smallest do not count.
        double[] all = [.. z.SelectMany(v => v).Order()];
        Scale = Math.Max(LeastScale, RobustStatistics.MadToSigma * RobustStatistics.Median(all[Math.Min((int)Math.Round(shrink.Sum()), all.Length - 1)..]));
        for (var c = 0; c < z.Length; c++)
            for (var i = 0; i < z[c].Length; i++) Weights[c][i] = weight(z[c][i] / Scale);
    }

    /// <summary>Weights 0 for points that have none and for clusters that stand off, 1 for all else.</summary>
    /// <param name="estimate">Parameters.</param>
    /// <param name="clusterCut">Distance in σ from which a cluster is left out.</param>
    public void LeaveOut(double[] estimate, double clusterCut)
    {
        double[] medians = [.. Clusters.Select(c => RobustStatistics.Median(Residuals(c, estimate)))];
        double[] own = [.. Enumerable.Range(0, Clusters.Length).Select(MedianVariance)];
        var off = new bool[Clusters.Length];
        var spread = ClusterSigma * ClusterSigma;
        for (var round = 0; _common && round < SpreadRounds; round++)
        {
            bool[] next = [.. medians.Select((m, c) => spread + own[c] > 0 && Math.Abs(m) > clusterCut * Math.Sqrt(spread + own[c]))];
            if (round > 0 && next.SequenceEqual(off)) break;
            off = next;
            // A dozen medians tell their own scatter only roughly: those that stay tell it by squares, and may let others in again.
            int[] stay = [.. Enumerable.Range(0, medians.Length).Where(c => !off[c])];
            if (stay.Length < LeastClusters) break;
            spread = Math.Max(0, stay.Sum(c => medians[c] * medians[c]) / Math.Max(1, stay.Length - estimate.Length) - stay.Average(c => own[c]));
        }
        for (var c = 0; c < Clusters.Length; c++)
        {
            for (var i = 0; i < Weights[c].Length; i++) Weights[c][i] = off[c] || Weights[c][i] == 0 ? 0 : 1;
            _clusterVariance[c] = ClusterSigma * ClusterSigma;
        }
    }

    /// <summary>Sizes by squares, of the points that count.</summary>
    public void Measure(double[] estimate)
    {
        double squares = 0, freedom = -estimate.Length, middles = 0, own = 0;
        var clusters = 0;
        for (var c = 0; c < Clusters.Length; c++)
        {
            var residuals = Residuals(Clusters[c], estimate);
            int[] kept = [.. Enumerable.Range(0, residuals.Length).Where(i => Weights[c][i] > 0)];
            if (kept.Length == 0) continue;
            double sum = 0, weights = 0;
            foreach (var i in kept)
            {
                var w = 1 / (Clusters[c].Sigmas[i] * Clusters[c].Sigmas[i]);
                sum += w * residuals[i];
                weights += w;
            }
            var mean = sum / weights;
            // What shared errors do to a cluster's middle stays in u: they are stated only roughly, and neighbouring clusters may share them too.
            var variance = Scale * Scale / weights;
            var shrink = _common ? ClusterSigma * ClusterSigma / (ClusterSigma * ClusterSigma + variance) : 0;
            foreach (var i in kept) squares += Math.Pow((residuals[i] - shrink * mean) / Clusters[c].Sigmas[i], 2);
            freedom += kept.Length - shrink;
            middles += mean * mean;
            own += variance;
            clusters++;
        }
        if (_common && clusters > 1) ClusterSigma = Math.Sqrt(Math.Max(0, middles / (clusters - 1) - own / clusters));
        Scale = Math.Max(LeastScale, Math.Sqrt(squares / Math.Max(1, freedom)));
        for (var c = 0; c < Clusters.Length; c++) _clusterVariance[c] = ClusterSigma * ClusterSigma;
    }

    // Variance of a cluster's median by its points' own errors.
    private double MedianVariance(int c) => Math.PI / 2 * Scale * Scale * Clusters[c].Sigmas.Average(s => s * s) / Clusters[c].Values.Length;

    private (double[][] Design, double[] Values)? Whiten(int index)
    {
        var cluster = Clusters[index];
        int[] kept = [.. Enumerable.Range(0, cluster.Values.Length).Where(i => Weights[index][i] > 0)];
        if (kept.Length == 0) return ([], []);
        var covariance = new double[kept.Length][];
        for (var a = 0; a < kept.Length; a++)
        {
            covariance[a] = new double[kept.Length];
            for (var b = 0; b <= a; b++) covariance[a][b] = _clusterVariance[index] + (cluster.Shared?[kept[a]][kept[b]] ?? 0);
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
