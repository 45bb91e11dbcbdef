using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;

namespace Phasekeeper.Core.Trackers;

/// <summary>Scene visibility relative to reference.</summary>
public sealed class SceneVisibilityTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("scene-visibility", "Scene visibility", "1", true, true,
        "Median over the orbit's scene exposures of the rows' mean visibility (weighted by 1/σ²), divided by the coefficient set's reference.",
        "Focus, alignment, contamination, stray light, saturation; strong wind shear along the line of sight lowers it a little.",
        "A loss makes phases noisier at once: the uncertainties already say so. Compare with the lamp: both down is the instrument, the scene alone is light or shear.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.FirstOrbits;

    /// <inheritdoc/>
    public double LeastSpread => 0.005; // chosen: half a percent

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Channels)
        {
            if (RowAverages.Of(orbit.Exposures(ExposureKind.Scene, c.View, c.Line.Id), f => f.Visibility, f => f.VisibilitySigma) is { } v)
                output.Add(c.View, c.Line.Id, v.Mean / c.Optics.Visibility, v.Sigma / c.Optics.Visibility, v.N);
        }
    }
}

/// <summary>Lamp visibility relative to reference.</summary>
public sealed class LampVisibilityTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("lamp-visibility", "Lamp visibility", "1", true, true,
        "Median over the orbit's lamp exposures of the rows' mean visibility (weighted by 1/σ²), divided by the coefficient set's reference.",
        "Focus, alignment, contamination; the lamp's own line width and temperature.",
        "A lasting loss in both lines is alignment or focus; in one line alone it may be the lamp.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.Coefficients;

    /// <inheritdoc/>
    public double LeastSpread => 0.005; // chosen: half a percent

    /// <inheritdoc/>
    public double Expected(CoefficientSet set, string? view, string? line) => 1;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Channels)
        {
            if (RowAverages.Of(orbit.Exposures(ExposureKind.Lamp, c.View, c.Line.Id), f => f.Visibility, f => f.VisibilitySigma) is { } v)
                output.Add(c.View, c.Line.Id, v.Mean / c.Optics.LampVisibility, v.Sigma / c.Optics.LampVisibility, v.N);
        }
    }
}
