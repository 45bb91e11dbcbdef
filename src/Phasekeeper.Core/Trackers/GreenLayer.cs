using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Trackers;

/// <summary>Apparent profile of one exposure's green layer.</summary>
/// <param name="PeakKm">Tangent altitude of the peak, km.</param>
/// <param name="ScaleHeightKm">Scale height above it, km; NaN when fewer than three rows show it.</param>
internal readonly record struct LayerProfile(double PeakKm, double ScaleHeightKm);

/// <summary>Finds the layer of O I 557.7 nm in the scene signal against tangent altitude, before any inversion: good enough to see pointing move.</summary>
internal static class GreenLayer
{
    private const double GreenNm = 557.9; // vacuum wavelength, domain.md section 2
    private const double LowKm = 80, HighKm = 120, TopSideKm = 25; // chosen: the layer lies near 97 km

    /// <summary>Profiles by view; views without any are left out.</summary>
    public static IEnumerable<(string View, LayerProfile[] Profiles)> Profiles(OrbitAnalysis orbit)
    {
        if (orbit.Input.Instrument?.Lines.MinBy(l => Math.Abs(l.WavelengthVacuumNm - GreenNm)) is not { } line || Math.Abs(line.WavelengthVacuumNm - GreenNm) > 2) yield break;
        var places = orbit.Input.Geometry.GroupBy(g => (g.Exposure, g.View)).ToDictionary(g => g.Key, g => g.First());
        foreach (var view in orbit.Views)
        {
            List<LayerProfile> profiles = [];
            foreach (var f in orbit.Exposures(ExposureKind.Scene, view, line.Id))
                if (places.TryGetValue((f.Exposure, view), out var place) && OfOne(f, place.TangentAltitudeKm) is { } profile) profiles.Add(profile);
            if (profiles.Count > 0) yield return (view, [.. profiles]);
        }
    }

    private static LayerProfile? OfOne(FringeResult f, double[] altitudeKm)
    {
        if (altitudeKm.Length != f.Status.Length) return null;
        // Rows with a signal well above its noise, by altitude.
        (double Km, double LogSignal)[] rows = [.. Enumerable.Range(0, altitudeKm.Length)
            .Where(r => f.Status[r] is RowStatus.Ok or RowStatus.NoFringe && f.SignalElectrons[r] > 10 * f.SignalSigmaElectrons[r] && double.IsFinite(altitudeKm[r]))
            .Select(r => (altitudeKm[r], Math.Log(f.SignalElectrons[r])))
            .OrderBy(r => r.Item1)];
        var peak = -1;
        for (var i = 0; i < rows.Length; i++)
            if (rows[i].Km is >= LowKm and <= HighKm && (peak < 0 || rows[i].LogSignal > rows[peak].LogSignal)) peak = i;
        if (peak < 1 || peak > rows.Length - 2) return null;
        if (Vertex(rows[peak - 1], rows[peak], rows[peak + 1]) is not { } km) return null;

        (double Km, double LogSignal)[] top = [.. rows.Where(r => r.Km > km && r.Km <= km + TopSideKm)];
        var scale = double.NaN;
        if (top.Length >= 3 && LinearLeastSquares.TryFit([.. top.Select(r => new[] { 1, r.Km - km })], [.. top.Select(r => r.LogSignal)]) is { } fit && fit.Estimate[1] < 0)
            scale = -1 / fit.Estimate[1];
        return new(km, scale);
    }

    // Highest point of the parabola through three points; null when they do not bracket a maximum.
    private static double? Vertex((double X, double Y) a, (double X, double Y) b, (double X, double Y) c)
    {
        var left = (b.Y - a.Y) / (b.X - a.X);
        var right = (c.Y - b.Y) / (c.X - b.X);
        var curvature = (right - left) / (c.X - a.X);
        if (!(curvature < 0) || left < 0 || right > 0) return null;
        return 0.5 * (a.X + b.X) - left / (2 * curvature);
    }
}
