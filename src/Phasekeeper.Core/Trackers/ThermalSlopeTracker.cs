using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Thermal;

namespace Phasekeeper.Core.Trackers;

/// <summary>k of lamp phase against T_lag.</summary>
public sealed class ThermalSlopeTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("thermal-slope", "Thermal slope", "rad/K", true, true,
        "Slope of lamp drift against the lagged interferometer temperature over the orbit, with the approved lag, by generalized least squares; the image shift is taken out.",
        "A change of the glass or its mount, a thermometer that drifts, an approved lag that is no longer right.",
        "Compare with the approved slope in m/s per K; a lasting change is a case for a new coefficient set, proposed and approved by two people.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.Coefficients;

    /// <inheritdoc/>
    public double LeastSpread => 0.002; // chosen: 0.3 % of 0.7 rad/K; over a 6 K orbit 12 mrad or 6 m/s

    /// <inheritdoc/>
    public double Expected(CoefficientSet set, string? view, string? line) => set.OpticsOf(view!, line!)?.Thermal.RadPerK ?? double.NaN;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Channels)
        {
            if (ThermalFit.TrySlope(orbit.OwnLampPoints(c), orbit.Shift(c.View)) is { } slope)
                output.Add(c.View, c.Line.Id, slope.RadPerK, slope.SigmaRadPerK, slope.Points, orbit.NeighboursMissing);
        }
    }
}
