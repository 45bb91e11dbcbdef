using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Trackers;

/// <summary>Masked samples per exposure.</summary>
public sealed class SpikeRateTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("spike-rate", "Spike rate", "samples", true, true,
        "Samples masked as spikes per scene exposure (all rows, scaled to a full frame), mean over the orbit. Where on the globe: the spike map.",
        "Energetic particles: most in the South Atlantic Anomaly, more in a solar storm.",
        "Passing the anomaly explains a high orbit. A storm everywhere means: trust the masks, expect larger uncertainties, look at space weather.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.RecentOrbits;

    /// <inheritdoc/>
    public double LeastSpread => 0.5; // chosen: half a sample a frame

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Channels)
        {
            double[] counts = [.. orbit.Exposures(ExposureKind.Scene, c.View, c.Line.Id).Select(SpikeMap.PerFrame).Where(double.IsFinite)];
            if (counts.Length == 0) continue;
            var mean = Moments.Mean(counts);
            var scatter = counts.Length > 1 ? Moments.StandardDeviation(counts) / Math.Sqrt(counts.Length) : 0;
            output.Add(c.View, c.Line.Id, mean, Math.Max(scatter, Math.Sqrt(Math.Max(mean, 1) / counts.Length)), counts.Length);
        }
    }
}
