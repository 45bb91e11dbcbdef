using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Thermal;

namespace Phasekeeper.Core.Trackers;

/// <summary>c(t): mean lamp phase minus the approved model.</summary>
public sealed class LampOffsetTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("lamp-offset", "Lamp offset", "rad", true, true,
        "Mean over the orbit of lamp drift minus the approved thermal model, weighted by the full covariance: c(t), the slow ageing. Known modulo one turn; series are unwrapped.",
        "Ageing of cement and coatings, outgassing, a step after a shock, an approved reference temperature or lamp phase that is off.",
        "A slow trend is corrected by the lamp and needs nothing but a new set now and then. A step deserves a flag and a look at what happened on that orbit.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.Coefficients;

    /// <inheritdoc/>
    public double Period => 2 * Math.PI;

    /// <inheritdoc/>
    public double LeastSpread => 0.01; // chosen: 5 m/s

    /// <inheritdoc/>
    public double Expected(CoefficientSet set, string? view, string? line) => set.OpticsOf(view!, line!) is null ? double.NaN : 0;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Channels)
        {
            if (Offset(orbit, c) is { } offset) output.Add(c.View, c.Line.Id, offset.Mean, offset.Sigma, offset.N, orbit.NeighboursMissing);
        }
    }

    /// <summary>The orbit's offset, rad; null without a lamp exposure.</summary>
    internal static (double Mean, double Sigma, int N)? Offset(OrbitAnalysis orbit, OpticalChannel c)
    {
        var points = orbit.OwnLampPoints(c);
        if (points.Length == 0) return null;
        double[][] ones = [.. points.Select(_ => new[] { 1.0 })];
        var fit = GeneralizedLeastSquares.TryFit(ones, [.. points.Select(p => p.OffsetRad)], LampAnchoredDrift.ErrorCovariance(points, orbit.Shift(c.View)));
        // Scatter beyond the noise (a slope that is off) makes the mean of few exposures uncertain.
        return fit is null ? null : (fit.Estimate[0], fit.Sigma(0) * Math.Sqrt(Math.Max(1, fit.DegreesOfFreedom > 0 ? fit.ResidualSumOfSquares / fit.DegreesOfFreedom : 1)), points.Length);
    }
}
