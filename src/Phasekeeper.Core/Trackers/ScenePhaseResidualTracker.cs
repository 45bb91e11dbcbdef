using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Trackers;

/// <summary>Orbit median of the scene phase that is left.</summary>
public sealed class ScenePhaseResidualTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("scene-phase-residual", "Scene phase residual", "m/s", true, true,
        "Median over the orbit's scene rows of the phase left after zero wind, distortion, motion, optical drift and image shift, as a speed (−phase/κ): the orbit's mean wind plus every error that the correction leaves. Compared with the 15 orbits before.",
        "A jump: attitude (0.01° of yaw is about 1 m/s), a wrong orbit file, a drift that the lamp does not see. Slow changes: the winds of the season.",
        "Attitude moves both lines alike, and both views the same way (yaw by about 0.9 m/s per 0.01°, pitch by half of that; roll hardly): look for a manoeuvre and at the attitude data first. A jump in one line, or in one view, is the optics or its lamp. Hold the winds until it is explained.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.RecentOrbits;

    /// <inheritdoc/>
    public double LeastSpread => 2; // chosen: the precision asked of a wind

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Channels)
        {
            var exposures = ScenePhases.Of(orbit, c);
            double[] all = [.. exposures.SelectMany(e => e.RowMs).Where(double.IsFinite)];
            if (all.Length == 0) continue;
            double[] medians = [.. exposures.Select(e => e.MedianMs)];
            // The rows of one exposure share the correction and much of the wind: exposures, not rows, are the independent points.
            var scatter = medians.Length < 3 ? double.NaN : RobustStatistics.MedianSigma(medians);
            var systematic = RobustStatistics.Median([.. exposures.Select(e => e.CorrectionSigmaMs)]);
            output.Add(c.View, c.Line.Id, RobustStatistics.Median(all), Math.Sqrt(scatter * scatter + systematic * systematic), all.Length, orbit.NeighboursMissing);
        }
    }
}
