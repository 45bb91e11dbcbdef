namespace Phasekeeper.Core.Statistics;

/// <summary>What a <see cref="ClusteredRegression"/> does with points that stand off.</summary>
public enum OutlierRule
{
    /// <summary>Nothing: least squares.</summary>
    Keep,
    /// <summary>Tukey's biweight: weight falls smoothly to 0.</summary>
    Biweight,
    /// <summary>The biweight finds them; those that it gives no weight are left out, and all others count in full. Its σ is that of least squares, which is known better in short series.</summary>
    LeaveOut,
}

/// <summary>
/// Robust regression of points in clusters: y = X·b + u(cluster) + shared error + own error. Huber's weights to start with, then Tukey's biweight (P. J. Huber, Robust Statistics (1981), chapter 7; Venables and Ripley,
/// Modern Applied Statistics with S, 4th ed., section 6.5), then what <see cref="OutlierRule"/> says. The size of u follows from the data. A bad point's own variance is raised by 1/weight, so that it does not speak for its cluster; a cluster that
/// stands far off as a whole is left out.
/// <para>
/// Covariance: from the estimates that result when one cluster is left out at a time (the jackknife, called CR3 for clusters: J. G. MacKinnon, H. White (1985), J. Econometrics 29, 305, doi 10.1016/0304-4076(85)90158-7), widened where neighbouring
/// clusters pull alike, and never less than the stated errors and the clusters' size give. That makes σ some 10 % too large on average where scatter and stated errors agree (test Slope_lag_and_reference_errors_match_their_sigma…).
/// </para>
/// </summary>
public static class ClusteredRegression
{
    /// <summary>Huber's bend in scales: 95 % efficiency for normal errors.</summary>
    public const double HuberBend = 1.345;

    /// <summary>Tukey's cut in scales: 95 % efficiency for normal errors; points beyond it have no weight.</summary>
    public const double TukeyCut = 4.685;

    /// <summary>Distance in σ from which a cluster is left out as a whole (chosen: far out, since a dozen clusters tell their own scatter only to a fifth; one that is less far off widens σ).</summary>
    public const double ClusterCut = 8;

    // Chosen: the start is settled to a per cent of σ by then; the end is checked.
    private const int HuberRounds = 15, MostRounds = 60, LastRounds = 3;
    private const double Settled = 1e-6; // of σ

    /// <summary>Fits; null when the columns are dependent or points are fewer than parameters.</summary>
    /// <param name="clusters">Points, clusters in the order of their numbers.</param>
    /// <param name="rule">What becomes of points that stand off.</param>
    public static ClusteredFit? TryFit(IReadOnlyList<PointCluster> clusters, OutlierRule rule = OutlierRule.LeaveOut)
    {
        ArgumentNullException.ThrowIfNull(clusters);
        var state = new ClusterState([.. clusters.Where(c => c.Values.Length > 0)]);
        if (state.Clusters.Length == 0 || state.Solve() is not { } fit) return null;
        for (var round = 0; rule != OutlierRule.Keep && round < MostRounds; round++)
        {
            state.Reweigh(fit.Estimate, round < HuberRounds ? Huber : Tukey);
            if (state.Solve() is not { } next) return null;
            var still = Enumerable.Range(0, next.Estimate.Length).All(j => Math.Abs(next.Estimate[j] - fit.Estimate[j]) <= Settled * next.Sigma(j));
            fit = next;
            if (still && round > HuberRounds) break;
        }
        if (rule != OutlierRule.Biweight)
        {
            if (rule == OutlierRule.LeaveOut) state.LeaveOut(fit.Estimate, ClusterCut);
            for (var round = 0; round < LastRounds; round++)
            {
                if (state.Solve() is not { } next) return null;
                fit = next;
                state.Measure(fit.Estimate);
            }
            if (state.Solve() is not { } last) return null;
            fit = last;
        }
        return fit.Estimate.All(double.IsFinite) ? new(fit.Estimate, ClusterCovariance.Of(state, fit), state.Weights, state.Scale, state.ClusterSigma) : null;
    }

    private static double Huber(double z) => z <= HuberBend ? 1 : HuberBend / z;

    private static double Tukey(double z)
    {
        var rest = z < TukeyCut ? 1 - z * z / (TukeyCut * TukeyCut) : 0;
        return rest * rest < ClusterState.LeastWeight ? 0 : rest * rest;
    }
}
