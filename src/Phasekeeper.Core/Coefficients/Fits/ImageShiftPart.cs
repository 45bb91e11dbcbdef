using System.Globalization;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>Image-shift law of each view, s = offset + slope·(bench − reference), from all fiducial measurements of the window. Steps are unknowns of their own, so that none tilts the slope; the offset is the one after the last step.</summary>
internal static class ImageShiftPart
{
    /// <summary>Range of bench temperature below which the slope stays, K: as the slope tracker.</summary>
    public const double LeastSwingK = 0.3;

    /// <summary>Range of bench temperature below which a fit is warned about, K (chosen: the law is meant for swings of some K, and 0.001 samples of what follows the temperature is then 2 % of 0.05 samples/K).</summary>
    public const double LittleSwingK = 1;

    private const int LeastPoints = 8; // chosen: four an unknown
    private const double SameStepS = 600; // chosen: neighbouring orbits' windows put one step within some exposures

    /// <summary>Fits all views.</summary>
    public static void Fit(FitDraft draft, FitWindow window)
    {
        foreach (var view in window.Instrument.Views) Fit(draft, window, view.Id);
    }

    /// <summary>Steps of a view's image shift within the window, ascending.</summary>
    public static IReadOnlyList<Instant> Steps(FitWindow window, string view)
    {
        List<Instant> steps = [];
        foreach (var step in window.Orbits.SelectMany(o => o.Shift(view).Steps).Where(t => t > window.Start && t < window.End).Order())
            if (steps.Count == 0 || step - steps[^1] > SameStepS) steps.Add(step);
        return steps;
    }

    private static void Fit(FitDraft draft, FitWindow window, string view)
    {
        var law = window.Set.ImageShiftOf(view);
        var steps = Steps(window, view);
        List<(int Orbit, List<(double BenchC, ImageShiftMeasurement Shift)> Points)> orbits = [];
        foreach (var orbit in window.Orbits)
        {
            List<(double, ImageShiftMeasurement)> points = [];
            foreach (var m in orbit.OwnShifts(view))
                if (orbit.Input.BenchC.TryInterpolate(m.Time, Math.Max(600, orbit.OrbitS / 6), out var c)) points.Add((c, m));
            if (points.Count > 0) orbits.Add((orbit.Input.Orbit, points));
        }
        var all = orbits.SelectMany(o => o.Points).ToArray();
        if (all.Length < LeastPoints)
        {
            draft.NotDetermined($"The image-shift law stays: {all.Length} fiducial measurements with a bench temperature; at least {LeastPoints} are needed.", view);
            return;
        }
        var range = all.Max(p => p.BenchC) - all.Min(p => p.BenchC);
        var slope = range >= LeastSwingK;
        if (range < LittleSwingK) draft.LittleRange(Text($"The bench covers {range:0.00} K at the fiducial measurements; the law wants {LittleSwingK:0} K or more."), view);
        if (!slope) draft.NotDetermined(Text($"The image shift's slope stays: the bench covers {range:0.00} K; at least {LeastSwingK:0.0} K are needed."), view);
        // A step without measurements on both sides is no unknown, nor are two without any between them.
        Instant[] within = [.. steps.Where(s => all.Any(p => p.Shift.Time < s) && all.Any(p => p.Shift.Time >= s)).DistinctBy(s => all.Count(p => p.Shift.Time < s))];
        double[] Row(double benchC, Instant time) => [1, .. slope ? [benchC - law.ReferenceC] : Array.Empty<double>(), .. within.Select(s => time < s ? 1.0 : 0)];
        PointCluster[] clusters = [.. orbits.Select(o => new PointCluster(o.Orbit,
            [.. o.Points.Select(p => Row(p.BenchC, p.Shift.Time))],
            [.. o.Points.Select(p => p.Shift.ShiftSamples - (slope ? 0 : law.SamplesPerK * (p.BenchC - law.ReferenceC)))],
            [.. o.Points.Select(p => p.Shift.SigmaSamples)]))];
        if (ClusteredRegression.TryFit(clusters) is not { } fit)
        {
            draft.NotDetermined($"The image-shift law stays: {all.Length} fiducial measurements do not determine it.", view);
            return;
        }
        if (slope) draft.Add(FitPart.ImageShift, "imageShift.samplesPerK", view, null, "samples/K", law.SamplesPerK, fit.Estimate[1], fit.Sigma(1), fit);
        draft.Add(FitPart.ImageShift, "imageShift.offsetSamples", view, null, "samples", law.OffsetSamples, fit.Estimate[0], fit.Sigma(0), fit);
        var fitted = law with { SamplesPerK = slope ? fit.Estimate[1] : law.SamplesPerK, OffsetSamples = fit.Estimate[0] };
        var known = draft.Set.ImageShift.Any(l => l.View == view);
        draft.Set = draft.Set with { ImageShift = known ? [.. draft.Set.ImageShift.Select(l => l.View == view ? fitted : l)] : [.. draft.Set.ImageShift, fitted] };
    }

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
