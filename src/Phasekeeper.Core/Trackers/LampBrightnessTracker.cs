using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;

namespace Phasekeeper.Core.Trackers;

/// <summary>Lamp A relative to reference.</summary>
public sealed class LampBrightnessTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("lamp-brightness", "Lamp brightness", "1", true, true,
        "Median over the orbit's lamp exposures of the rows' mean signal A (weighted by 1/σ²), divided by the coefficient set's reference.",
        "Ageing of the lamp, its supply, its temperature; contamination of the shared path.",
        "Dimming is slow and can be forecast: plan longer lamp exposures before the drift's uncertainty grows. A sudden loss leaves the thermal model alone.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.Coefficients;

    /// <inheritdoc/>
    public double LeastSpread => 0.01; // chosen: one percent

    /// <inheritdoc/>
    public double Expected(CoefficientSet set, string? view, string? line) => 1;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Channels)
        {
            if (RowAverages.Of(orbit.Exposures(ExposureKind.Lamp, c.View, c.Line.Id), f => f.SignalElectrons, f => f.SignalSigmaElectrons) is { } v)
                output.Add(c.View, c.Line.Id, v.Mean / c.Optics.LampElectrons, v.Sigma / c.Optics.LampElectrons, v.N);
        }
    }
}
