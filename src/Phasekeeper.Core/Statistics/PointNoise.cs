namespace Phasekeeper.Core.Statistics;

/// <summary>Errors of the points of a fit: independent (σ of each) or with a full covariance.</summary>
public sealed class PointNoise
{
    private readonly double[]? _sigma;
    private readonly Cholesky? _factor;

    private PointNoise(double[]? sigma, Cholesky? factor) => (_sigma, _factor) = (sigma, factor);

    /// <summary>Independent errors of the given σ, all positive.</summary>
    public static PointNoise Independent(double[] sigma) => new(sigma, null);

    /// <summary>Correlated errors; null when the covariance is not positive definite.</summary>
    public static PointNoise? TryCorrelated(double[][] covariance) => Cholesky.TryFactor(covariance) is { } factor ? new(null, factor) : null;

    /// <summary>Data of these errors made independent with unit variance.</summary>
    public double[] Whiten(double[] values) => _factor is null ? Divide(values, 1) : _factor.Whiten(values);

    /// <summary>C⁻¹·values.</summary>
    public double[] Solve(double[] values) => _factor is null ? Divide(values, 2) : _factor.Solve(values);

    private double[] Divide(double[] values, int times)
    {
        var result = new double[values.Length];
        for (var i = 0; i < values.Length; i++) result[i] = times == 1 ? values[i] / _sigma![i] : values[i] / (_sigma![i] * _sigma[i]);
        return result;
    }
}
