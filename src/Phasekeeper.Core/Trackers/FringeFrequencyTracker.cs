using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Trackers;

/// <summary>F fitted on lamp rows.</summary>
public sealed class FringeFrequencyTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("fringe-frequency", "Fringe frequency", "ppm", true, true,
        "Fringe cycles fitted on the lamp exposures relative to the reference, weighted mean over the orbit.",
        "Magnification of the camera, tilt of a grating, focus.",
        "A change of magnification moves all rows and both lines alike; a grating's tilt does not. Both ask for a new reference pattern before they matter to the phase.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.FirstOrbits;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Channels)
        {
            FringeResult[] lamps = [.. orbit.Exposures(ExposureKind.Lamp, c.View, c.Line.Id).Where(f => double.IsFinite(f.FrequencyOffsetPpm) && f.FrequencyOffsetSigmaPpm > 0)];
            if (lamps.Length == 0) continue;
            var (mean, sigma) = Moments.WeightedMean([.. lamps.Select(f => f.FrequencyOffsetPpm)], [.. lamps.Select(f => f.FrequencyOffsetSigmaPpm)]);
            output.Add(c.View, c.Line.Id, mean, sigma, lamps.Length);
        }
    }
}
