using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>References of scene and lamp visibility and of the lamp's brightness: robust means over the window's exposures, each the mean of its usable rows weighted by 1/σ².</summary>
internal static class VisibilityPart
{
    /// <summary>Largest σ of a row's visibility over itself (chosen: dim rows have a visibility that noise lifts, and say little).</summary>
    public const double LargestRowShare = 0.1;

    private const int LeastExposures = 8; // chosen
    private const double LargestVisibility = 1; // of the set's JSON

    /// <summary>Fits all views and lines.</summary>
    public static void Fit(FitDraft draft, FitWindow window)
    {
        foreach (var channel in window.Channels)
        {
            string view = channel.View, line = channel.Line.Id;
            var optics = channel.Optics;
            if (Mean(draft, window, channel, ExposureKind.Scene, "scene visibility", Visibility) is { } scene && Check(draft, "scene visibility", scene, LargestVisibility, view, line))
            {
                draft.Add(FitPart.Visibility, "optics.visibility", view, line, "1", optics.Visibility, scene.Estimate[0], scene.Sigma(0), scene);
                draft.Optics(view, line, o => o with { Visibility = scene.Estimate[0] });
            }
            if (Mean(draft, window, channel, ExposureKind.Lamp, "lamp brightness", f => RowAverages.OfOne(f, f.SignalElectrons, f.SignalSigmaElectrons)) is { } brightness
                && Check(draft, "lamp brightness", brightness, double.MaxValue, view, line))
            {
                draft.Add(FitPart.Visibility, "optics.lampElectrons", view, line, "e-", optics.LampElectrons, brightness.Estimate[0], brightness.Sigma(0), brightness);
                draft.Optics(view, line, o => o with { LampElectrons = brightness.Estimate[0] });
            }
            if (Mean(draft, window, channel, ExposureKind.Lamp, "lamp visibility", Visibility) is { } lamp && Check(draft, "lamp visibility", lamp, LargestVisibility, view, line))
            {
                draft.Add(FitPart.Visibility, "optics.lampVisibility", view, line, "1", optics.LampVisibility, lamp.Estimate[0], lamp.Sigma(0), lamp);
                draft.Optics(view, line, o => o with { LampVisibility = lamp.Estimate[0] });
            }
        }
    }

    private static (double Mean, double Sigma)? Visibility(FringeResult f) =>
        RowAverages.OfOne(f, f.Visibility, [.. f.VisibilitySigma.Select((s, r) => s <= LargestRowShare * f.Visibility[r] ? s : double.NaN)]);

    private static bool Check(FitDraft draft, string what, ClusteredFit fit, double largest, string view, string line)
    {
        if (fit.Estimate[0] > 0 && fit.Estimate[0] <= largest) return true;
        draft.NotDetermined(FormattableString.Invariant($"The reference of {what} stays: {fit.Estimate[0]:0.000} was found; expected a number above 0 and at most {largest:0}."), view, line);
        return false;
    }

    private static ClusteredFit? Mean(FitDraft draft, FitWindow window, OpticalChannel channel, ExposureKind kind, string what, Func<FringeResult, (double Mean, double Sigma)?> value)
    {
        List<PointCluster> clusters = [];
        foreach (var orbit in window.Orbits)
        {
            (double Mean, double Sigma)[] points = [.. orbit.Exposures(kind, channel.View, channel.Line.Id).Select(value).OfType<(double, double)>()];
            if (points.Length > 0) clusters.Add(new(orbit.Input.Orbit, [.. points.Select(_ => new[] { 1.0 })], [.. points.Select(p => p.Mean)], [.. points.Select(p => p.Sigma)]));
        }
        var count = clusters.Sum(c => c.Values.Length);
        if (count >= LeastExposures && ClusteredRegression.TryFit(clusters) is { } fit) return fit;
        draft.NotDetermined($"The reference of {what} stays: {count} exposures with usable rows; at least {LeastExposures} are needed.", channel.View, channel.Line.Id);
        return null;
    }
}
