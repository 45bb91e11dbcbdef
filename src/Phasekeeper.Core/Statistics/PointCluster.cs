namespace Phasekeeper.Core.Statistics;

/// <summary>Points that share an error of their own, for example those of one orbit.</summary>
/// <param name="Number">Number of the cluster: neighbours have neighbouring numbers.</param>
/// <param name="Design">X, [point][parameter].</param>
/// <param name="Values">Observations.</param>
/// <param name="Sigmas">1σ of each observation by itself, positive.</param>
/// <param name="Shared">Known covariance of errors that the points have in common, [i][j]; null = none.</param>
public sealed record PointCluster(int Number, double[][] Design, double[] Values, double[] Sigmas, double[][]? Shared = null);

/// <summary>Result of <see cref="ClusteredRegression"/>.</summary>
/// <param name="Estimate">Parameters, in the order of the design's columns.</param>
/// <param name="Covariance">Their covariance, [i][j], with the scatter from cluster to cluster.</param>
/// <param name="Weights">Weight 0…1 that each point kept, [cluster][point].</param>
/// <param name="Scale">Scatter of the points within their clusters in units of their σ.</param>
/// <param name="ClusterSigma">1σ of what the points of a cluster have in common beyond the model.</param>
public sealed record ClusteredFit(double[] Estimate, double[][] Covariance, double[][] Weights, double Scale, double ClusterSigma)
{
    /// <summary>1σ of a parameter.</summary>
    public double Sigma(int parameter) => Math.Sqrt(Covariance[parameter][parameter]);

    /// <summary>Points that were left out: weight 0.</summary>
    public int Rejected => Weights.Sum(c => c.Count(w => w == 0));

    /// <summary>Points that count.</summary>
    public int Used => Weights.Sum(c => c.Count(w => w > 0));
}
