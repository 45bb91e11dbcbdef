using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Trackers;

/// <summary>rms of lamp phase minus the approved model.</summary>
public sealed class ThermalResidualTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("thermal-residual", "Thermal residual", "rad", true, true,
        "Root mean square over the orbit of lamp drift minus the approved thermal model, after the orbit's mean (the lamp offset, a tracker of its own) is taken out; n − 1 in the mean.",
        "An approved slope or lag that no longer fits, a thermometer in trouble, a heater that fails: anything that moves the optics in another way than the model says.",
        "When it grows, look at the Orbit page for the shape: following the temperature means the slope, a loop means the lag, a jump means an event. Winds stay anchored to the lamp, with a larger uncertainty.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.FirstOrbits;

    /// <inheritdoc/>
    public double LeastSpread => 0.002; // chosen: 1 m/s

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Channels)
        {
            if (Residual(orbit, c) is { } r) output.Add(c.View, c.Line.Id, r.Rms, r.Sigma, r.N, orbit.NeighboursMissing);
        }
    }

    /// <summary>rms with its 1σ (rms/√(2(n−1))); null with fewer than three exposures.</summary>
    internal static (double Rms, double Sigma, int N)? Residual(OrbitAnalysis orbit, OpticalChannel c)
    {
        var points = orbit.OwnLampPoints(c);
        if (points.Length < 3) return null;
        var rms = Moments.StandardDeviation([.. points.Select(p => p.OffsetRad)]);
        return (rms, rms / Math.Sqrt(2.0 * (points.Length - 1)), points.Length);
    }
}

/// <summary>The thermal residual as wind.</summary>
public sealed class ThermalResidualWindTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("thermal-residual-wind", "Thermal residual as wind", "m/s", true, true,
        "The thermal residual divided by κ at the mean path difference: the wind error that the model alone would leave within the orbit.",
        "As the thermal residual.",
        "Did the thermal correction hold? Some m/s are normal; a value near the winds' own uncertainty puts the orbit's winds in doubt.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.FirstOrbits;

    /// <inheritdoc/>
    public double LeastSpread => 1; // chosen: 1 m/s

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Channels)
        {
            if (ThermalResidualTracker.Residual(orbit, c) is { } r) output.Add(c.View, c.Line.Id, r.Rms / c.Line.KappaAtMeanRadPerMs, r.Sigma / c.Line.KappaAtMeanRadPerMs, r.N, orbit.NeighboursMissing);
        }
    }
}
