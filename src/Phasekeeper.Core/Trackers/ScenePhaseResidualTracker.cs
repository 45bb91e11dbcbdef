using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Trackers;

/// <summary>Orbit median of the scene phase that is left.</summary>
public sealed class ScenePhaseResidualTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("scene-phase-residual", "Scene phase residual", "m/s", true, true,
        "Median over the orbit's scene rows of the phase left after zero wind, distortion, motion, optical drift and image shift, as a speed (−phase/κ): the orbit's mean wind plus every error that the correction leaves. Compared with the 15 orbits before.",
        "A jump: attitude (0.01° of yaw is about 1 m/s), a wrong orbit file, a drift that the lamp does not see. Slow changes: the winds of the season.",
        "A jump in both lines and both views with opposite effect of the azimuths is attitude; the same sign in both is the optics. Hold the winds until it is explained.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.RecentOrbits;

    /// <inheritdoc/>
    public double LeastSpread => 2; // chosen: the precision asked of a wind

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        if (orbit.Input.Instrument is not { } instrument) return;
        foreach (var c in orbit.Channels)
        {
            var shiftRadPerSample = 2 * Math.PI * c.Line.Cycles / instrument.Samples;
            var kappa = c.Line.KappaAtMeanRadPerMs;
            List<double> all = [], medians = [], corrections = [];
            foreach (var f in orbit.Exposures(ExposureKind.Scene, c.View, c.Line.Id))
            {
                if (!orbit.Drift(c).TryGet(f.Time, out var drift)) continue;
                var shift = orbit.Shift(c.View).At(f.Time);
                var correction = drift.DriftRad - shiftRadPerSample * shift.ShiftSamples;
                List<double> rows = [];
                for (var r = 0; r < f.Status.Length; r++)
                    if (f.Status[r] == RowStatus.Ok && double.IsFinite(f.PhaseRad[r])) rows.Add(-Math.IEEERemainder(f.PhaseRad[r] - correction, 2 * Math.PI) / kappa);
                if (rows.Count == 0) continue;
                all.AddRange(rows);
                medians.Add(RobustStatistics.Median(rows));
                corrections.Add(drift.CorrectionSigmaRad(shiftRadPerSample, shift.SigmaSamples) / kappa);
            }
            if (all.Count == 0) continue;
            // The rows of one exposure share the correction and much of the wind: exposures, not rows, are the independent points.
            var scatter = medians.Count < 3 ? double.NaN : RobustStatistics.MedianSigma(medians);
            var systematic = RobustStatistics.Median(corrections);
            output.Add(c.View, c.Line.Id, RobustStatistics.Median(all), Math.Sqrt(scatter * scatter + systematic * systematic), all.Count, orbit.NeighboursMissing);
        }
    }
}
