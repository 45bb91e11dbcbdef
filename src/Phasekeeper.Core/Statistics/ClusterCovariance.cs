namespace Phasekeeper.Core.Statistics;

/// <summary>Covariance of a <see cref="ClusteredRegression"/> by leaving one cluster out at a time.</summary>
internal static class ClusterCovariance
{
    // Clusters that are at most so many numbers apart count as neighbours (chosen: where some were held out in between).
    private const int NeighbourReach = 3;
    private const int LeastForCorrelation = 8; // pairs of neighbours from which a correlation is taken (chosen)
    private const double LargestCorrelation = 0.9; // beyond it a dozen clusters cannot tell it from a trend

    public static double[][] Of(ClusterState state, LeastSquaresResult fit)
    {
        var p = fit.Estimate.Length;
        var plain = fit.Covariance;
        var changes = Changes(state, fit);
        var result = new double[p][];
        var widening = new double[p];
        var clusters = changes.Count;
        for (var j = 0; j < p; j++)
        {
            result[j] = new double[p];
            double sum = 0;
            foreach (var (_, d) in changes) sum += d[j] * d[j];
            var scatter = clusters < 2 ? 0 : sum * (clusters - 1) / clusters * Widening([.. changes.Select(c => (c.Number, c.Change[j]))]);
            // Stated errors and the clusters' size are a floor: a dozen clusters may scatter little by chance, and neighbours may share an error.
            widening[j] = Math.Sqrt(Math.Max(scatter, plain[j][j]) / plain[j][j]);
        }
        // Correlations are the plain fit's; variances those found.
        for (var j = 0; j < p; j++)
            for (var k = 0; k < p; k++) result[j][k] = plain[j][k] * widening[j] * widening[k];
        return result;
    }

    // By how much the estimate changes when a cluster is left out: (H − H_c)⁻¹ X_cᵀ r_c, exact for the weights of the end.
    private static List<(int Number, double[] Change)> Changes(ClusterState state, LeastSquaresResult fit)
    {
        var p = fit.Estimate.Length;
        double[] scale = [.. Enumerable.Range(0, p).Select(j => fit.Sigma(j))];
        double[][] whole = [.. Enumerable.Range(0, p).Select(_ => new double[p])];
        foreach (var (design, _) in state.White) Add(whole, design, scale, 1);
        List<(int, double[])> changes = [];
        for (var c = 0; c < state.Clusters.Length; c++)
        {
            var (design, values) = state.White[c];
            if (values.Length == 0) continue;
            var gradient = new double[p];
            for (var i = 0; i < values.Length; i++)
            {
                var rest = values[i];
                for (var j = 0; j < p; j++) rest -= design[i][j] * fit.Estimate[j];
                for (var j = 0; j < p; j++) gradient[j] += design[i][j] * scale[j] * rest;
            }
            double[][] without = [.. whole.Select(row => (double[])row.Clone())];
            Add(without, design, scale, -1);
            // A parameter that hangs on one cluster alone has no jackknife: there the gradient is taken with all.
            var change = (Cholesky.TryFactor(without) ?? Cholesky.TryFactor(whole))?.Solve(gradient);
            if (change is not null) changes.Add((state.Clusters[c].Number, [.. change.Select((d, j) => d * scale[j])]));
        }
        return changes;
    }

    private static void Add(double[][] matrix, double[][] design, double[] scale, double sign)
    {
        foreach (var row in design)
            for (var j = 0; j < scale.Length; j++)
                for (var k = 0; k < scale.Length; k++) matrix[j][k] += sign * row[j] * scale[j] * row[k] * scale[k];
    }

    // Neighbours that pull alike count for fewer: (1 + r)/(1 − r), with r freed of its bias in short series (M. G. Kendall (1954), Biometrika 41, 403) and only where it is more than chance.
    private static double Widening(List<(int Number, double Change)> changes)
    {
        double squares = 0, products = 0;
        var pairs = 0;
        for (var c = 0; c < changes.Count; c++)
        {
            squares += changes[c].Change * changes[c].Change;
            if (c == 0 || changes[c].Number - changes[c - 1].Number > NeighbourReach) continue;
            products += changes[c].Change * changes[c - 1].Change;
            pairs++;
        }
        if (pairs < LeastForCorrelation || !(squares > 0)) return 1;
        var r = products / pairs / (squares / changes.Count);
        if (r < 1 / Math.Sqrt(pairs)) return 1;
        r = Math.Min(LargestCorrelation, r + (1 + 4 * r) / pairs);
        return (1 + r) / (1 - r);
    }
}
