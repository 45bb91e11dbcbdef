using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Trackers;

/// <summary>Corrected scene phases of one exposure, view and line, as speeds −phase/κ.</summary>
/// <param name="Fringe">The exposure.</param>
/// <param name="RowMs">One a detector row, m/s: what is left after zero wind, distortion, motion, optical drift and image shift; NaN for a row that is not usable.</param>
/// <param name="MedianMs">Median of the usable rows, m/s.</param>
/// <param name="CorrectionSigmaMs">1σ of drift and image shift, which the rows share, m/s.</param>
/// <param name="LaggedC">T_lag of the exposure by the set's own lag, °C; NaN where it is not known.</param>
public sealed record ScenePhase(FringeResult Fringe, double[] RowMs, double MedianMs, double CorrectionSigmaMs, double LaggedC)
{
    /// <summary>Number of usable rows.</summary>
    public int Rows => RowMs.Count(double.IsFinite);
}

/// <summary>The corrected scene phase (domain.md section 4): the wind along the line of sight plus every error that the correction leaves.</summary>
public static class ScenePhases
{
    /// <summary>Scene exposures of the orbit with a usable row, in time order; those at a time without temperature are left out.</summary>
    /// <param name="orbit">The orbit, retrieved with its own coefficients.</param>
    /// <param name="c">View and line.</param>
    public static IReadOnlyList<ScenePhase> Of(OrbitAnalysis orbit, OpticalChannel c)
    {
        ArgumentNullException.ThrowIfNull(orbit);
        ArgumentNullException.ThrowIfNull(c);
        if (orbit.Input.Instrument is not { } instrument) return [];
        var shiftRadPerSample = 2 * Math.PI * c.Line.Cycles / instrument.Samples;
        var kappa = c.Line.KappaAtMeanRadPerMs;
        List<ScenePhase> result = [];
        foreach (var f in orbit.Exposures(ExposureKind.Scene, c.View, c.Line.Id))
        {
            if (!orbit.Drift(c).TryGet(f.Time, out var drift)) continue;
            var shift = orbit.Shift(c.View).At(f.Time);
            var correction = drift.DriftRad - shiftRadPerSample * shift.ShiftSamples;
            var rows = new double[f.Status.Length];
            for (var r = 0; r < rows.Length; r++)
                rows[r] = f.Status[r] == RowStatus.Ok && double.IsFinite(f.PhaseRad[r]) ? -Math.IEEERemainder(f.PhaseRad[r] - correction, 2 * Math.PI) / kappa : double.NaN;
            double[] usable = [.. rows.Where(double.IsFinite)];
            if (usable.Length == 0) continue;
            var lagged = orbit.Lagged(c.Optics.Thermal.LagS).TryGet(f.Time, out var at) ? at.LaggedC : double.NaN;
            result.Add(new(f, rows, RobustStatistics.Median(usable), drift.CorrectionSigmaRad(shiftRadPerSample, shift.SigmaSamples) / kappa, lagged));
        }
        return result;
    }
}
