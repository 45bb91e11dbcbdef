using Phasekeeper.Core.Thermal;

namespace Phasekeeper.Core.Trackers;

/// <summary>The thermal slope as the wind error that an uncorrected kelvin makes.</summary>
public sealed class ThermalSlopeWindTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("thermal-slope-wind", "Thermal slope as wind", "m/s per K", true, true,
        "The thermal slope divided by κ at the mean path difference: the wind error that one uncorrected kelvin would make.",
        "As the thermal slope.",
        "Read it beside the temperature swing of the orbit: the product is what the correction has to take out.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.None;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Channels)
        {
            var kappa = c.Line.KappaAtMeanRadPerMs;
            if (ThermalFit.TrySlope(orbit.OwnLampPoints(c), orbit.Shift(c.View)) is { } slope)
                output.Add(c.View, c.Line.Id, slope.RadPerK / kappa, slope.SigmaRadPerK / kappa, slope.Points, orbit.NeighboursMissing);
        }
    }
}
