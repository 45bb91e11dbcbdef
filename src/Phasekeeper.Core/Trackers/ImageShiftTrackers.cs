using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Thermal;

namespace Phasekeeper.Core.Trackers;

/// <summary>Mean image shift.</summary>
public sealed class ImageShiftMeanTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("image-shift-mean", "Image shift, mean", "samples", true, false,
        "Mean of the smoothed image shift at the orbit's exposures, with its uncertainty from all fiducial measurements.",
        "Bench temperature, a shift of the camera against the optics, a shock.",
        "A step is found and respected by the correction; a shift of some tenths of a sample makes the flat field and bad-sample map worth a look.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.FirstOrbits;

    /// <inheritdoc/>
    public double LeastSpread => 0.01; // chosen: 12 mrad on the lamp

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var view in orbit.Views)
        {
            var shift = orbit.Shift(view);
            double[] times = [.. orbit.OwnShifts(view).Select(m => m.Time - orbit.Input.Start).Distinct()];
            if (times.Length == 0) continue;
            double[] values = [.. times.Select(t => shift.At(orbit.Input.Start.AddSeconds(t)).ShiftSamples)];
            var sigma = RobustStatistics.Median([.. times.Select(t => shift.At(orbit.Input.Start.AddSeconds(t)).SigmaSamples)]);
            output.Add(view, null, Moments.Mean(values), sigma, values.Length, orbit.NeighboursMissing);
        }
    }
}

/// <summary>Swing of the image shift.</summary>
public sealed class ImageShiftSwingTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("image-shift-swing", "Image shift, swing", "samples", true, false,
        "Largest minus smallest smoothed image shift at the orbit's exposures.",
        "Temperature swing of the bench; a step within the orbit.",
        "Compare with the bench's swing times its slope: an excess is a step or a loose part.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.FirstOrbits;

    /// <inheritdoc/>
    public double LeastSpread => 0.01; // chosen: 12 mrad on the lamp

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var view in orbit.Views)
        {
            var shift = orbit.Shift(view);
            ShiftEstimate[] values = [.. orbit.OwnShifts(view).Select(m => shift.At(m.Time))];
            if (values.Length < 3) continue;
            var (low, high) = (values.MinBy(v => v.ShiftSamples), values.MaxBy(v => v.ShiftSamples));
            output.Add(view, null, high.ShiftSamples - low.ShiftSamples,
                Math.Sqrt(low.SigmaSamples * low.SigmaSamples + high.SigmaSamples * high.SigmaSamples), values.Length, orbit.NeighboursMissing);
        }
    }
}

/// <summary>Slope of the image shift against bench temperature.</summary>
public sealed class ImageShiftSlopeTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("image-shift-slope", "Image shift against bench temperature", "samples/K", true, false,
        "Slope of the orbit's own fiducial measurements against bench temperature, weighted least squares; given where the bench swings by at least 0.3 K.",
        "Stress in the bench, a loose mount, a bench thermometer that drifts.",
        "A lasting change is a case for a new image-shift law; until then the fiducials carry the correction.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.Coefficients;

    private const double LeastSwingK = 0.3;

    /// <inheritdoc/>
    public double LeastSpread => 0.001; // chosen: 2 % of 0.05 samples/K

    /// <inheritdoc/>
    public double Expected(CoefficientSet set, string? view, string? line) => set.ImageShift.FirstOrDefault(s => s.View == view)?.SamplesPerK ?? double.NaN;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var view in orbit.Views)
        {
            List<(double Bench, ImageShiftMeasurement Shift)> points = [];
            foreach (var m in orbit.OwnShifts(view))
                if (orbit.Input.BenchC.TryInterpolate(m.Time, Math.Max(600, orbit.OrbitS / 6), out var c)) points.Add((c, m));
            if (points.Count < 5 || points.Max(p => p.Bench) - points.Min(p => p.Bench) < LeastSwingK) continue;
            var middle = points.Average(p => p.Bench);
            double[][] design = [.. points.Select(p => new[] { 1, p.Bench - middle })];
            if (LinearLeastSquares.TryFit(design, [.. points.Select(p => p.Shift.ShiftSamples)], [.. points.Select(p => p.Shift.SigmaSamples)]) is not { } fit) continue;
            var widening = Math.Sqrt(Math.Max(1, fit.ResidualSumOfSquares / fit.DegreesOfFreedom));
            output.Add(view, null, fit.Estimate[1], fit.Sigma(1) * widening, points.Count);
        }
    }
}
