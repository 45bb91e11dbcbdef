using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Thermal;

/// <summary>Slope of lamp drift against T_lag.</summary>
/// <param name="RadPerK">k, rad/K.</param>
/// <param name="SigmaRadPerK">1σ.</param>
/// <param name="Points">Lamp exposures used.</param>
public readonly record struct ThermalSlope(double RadPerK, double SigmaRadPerK, int Points);

/// <summary>Thermal lag.</summary>
/// <param name="LagS">τ, s.</param>
/// <param name="SigmaS">1σ.</param>
/// <param name="RadPerK">k fitted with it.</param>
/// <param name="Points">Lamp exposures used.</param>
public readonly record struct ThermalLag(double LagS, double SigmaS, double RadPerK, int Points);

/// <summary>
/// k and τ from lamp exposures by generalized least squares with the image shift's common error in the covariance. σ is widened by √(χ²/ν) when that exceeds 1.
///
/// How right σ is (test Slope_and_lag_errors_match_their_sigma; error/σ rms): 1.008 for k and 0.940 for τ with lamp noise alone; 0.934 and 0.712 with fiducials of
/// 0.004 samples, where σ of τ is some 40 % too large.
/// </summary>
public static class ThermalFit
{
    /// <summary>Smallest swing of T_lag from which a slope is taken, K (chosen: 0.3 K × 0.7 rad/K = 0.2 rad against some 5 mrad of noise).</summary>
    public const double LeastSwingK = 0.3;

    private const int LeastPoints = 4;

    /// <summary>k for the approved τ: φ = a + k·(T_lag − mean); null with fewer than four exposures or too little swing.</summary>
    public static ThermalSlope? TrySlope(IReadOnlyList<LampDriftPoint> points, SmoothImageShift shift)
    {
        if (points.Count < LeastPoints) return null;
        double low = points.Min(p => p.LaggedC.LaggedC), high = points.Max(p => p.LaggedC.LaggedC);
        if (high - low < LeastSwingK) return null;
        var middle = 0.5 * (low + high);
        double[][] design = [.. points.Select(p => new[] { 1, p.LaggedC.LaggedC - middle })];
        var fit = GeneralizedLeastSquares.TryFit(design, [.. points.Select(p => p.MeasuredRad)], LampAnchoredDrift.ErrorCovariance(points, shift));
        return fit is null ? null : new(fit.Estimate[1], fit.Sigma(1) * Widening(fit), points.Count);
    }

    /// <summary>
    /// τ that minimises the residual with k and one offset a group free, by Gauss–Newton with ∂T_lag/∂τ from a central difference; null when it does not settle
    /// within <paramref name="lowS"/>…<paramref name="highS"/>.
    /// </summary>
    /// <param name="points">Lamp exposures.</param>
    /// <param name="group">Group of each exposure, counted from 0 (one an orbit).</param>
    /// <param name="shift">s(t) of the view.</param>
    /// <param name="lagged">T_lag for a lag.</param>
    /// <param name="startS">First τ.</param>
    /// <param name="lowS">Smallest τ allowed.</param>
    /// <param name="highS">Largest.</param>
    public static ThermalLag? TryLag(
        IReadOnlyList<LampDriftPoint> points, IReadOnlyList<int> group, SmoothImageShift shift, Func<double, LaggedTemperature> lagged, double startS, double lowS, double highS)
    {
        var groups = points.Count == 0 ? 0 : group.Max() + 1;
        if (points.Count < groups + 3) return null;
        var covariance = LampAnchoredDrift.ErrorCovariance(points, shift);
        double[] y = [.. points.Select(p => p.MeasuredRad)];
        var lag = startS;
        for (var iteration = 0; iteration < 25; iteration++)
        {
            var step = Math.Max(1, 0.01 * lag);
            // No lag is shorter than none.
            var (longer, shorter) = (lag + step, Math.Max(lag - step, 0));
            if (Temperatures(lagged(lag), points) is not { } t || Temperatures(lagged(longer), points) is not { } up || Temperatures(lagged(shorter), points) is not { } down) return null;
            if (t.Max() - t.Min() < LeastSwingK) return null;
            var middle = 0.5 * (t.Max() + t.Min());
            // Columns: offsets, T_lag, ∂T_lag/∂τ; the last one's coefficient is k·δτ.
            var design = new double[points.Count][];
            for (var i = 0; i < design.Length; i++)
            {
                design[i] = new double[groups + 2];
                design[i][group[i]] = 1;
                design[i][groups] = t[i] - middle;
                design[i][groups + 1] = (up[i] - down[i]) / (longer - shorter);
            }
            if (GeneralizedLeastSquares.TryFit(design, y, covariance) is not { } fit || fit.DegreesOfFreedom < 1) return null;
            var k = fit.Estimate[groups];
            if (k == 0) return null;
            var change = fit.Estimate[groups + 1] / k;
            var next = Math.Clamp(lag + change, Math.Max(lowS, 0.5 * lag), Math.Min(highS, 2 * lag));
            if (Math.Abs(next - lag) < 1e-4 * lag)
                return next <= lowS || next >= highS ? null : new(next, fit.Sigma(groups + 1) / Math.Abs(k) * Widening(fit), k, points.Count);
            lag = next;
        }
        return null;
    }

    private static double[]? Temperatures(LaggedTemperature lagged, IReadOnlyList<LampDriftPoint> points)
    {
        var result = new double[points.Count];
        for (var i = 0; i < result.Length; i++)
        {
            if (!lagged.TryGet(points[i].Time, out var value)) return null;
            result[i] = value.LaggedC;
        }
        return result;
    }

    // With few degrees of freedom χ²/ν is itself uncertain: it widens σ only where it exceeds 1 by more than two of its own σ, √(2/ν).
    private static double Widening(LeastSquaresResult fit)
    {
        if (fit.DegreesOfFreedom < 1) return 1;
        var chi = fit.ResidualSumOfSquares / fit.DegreesOfFreedom;
        return chi > 1 + 2 * Math.Sqrt(2.0 / fit.DegreesOfFreedom) ? Math.Sqrt(chi) : 1;
    }
}
