using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Orbit;

/// <summary>Image shift: every fiducial measurement, the smooth s(t) used for the correction, and the bench-temperature law that is its prior.</summary>
internal static class OrbitShift
{
    private const int SmoothPoints = 300;

    /// <summary>Makes the plot.</summary>
    public static PlotDocument Document(OrbitContents orbit, PlotWindow window, string? view)
    {
        var traces = new List<PlotTrace>();
        var markers = new List<PlotMarker>();
        var sentences = new List<string>();
        string[] views = [.. orbit.Analysis.Views.Where(v => string.IsNullOrEmpty(view) || v == view)];
        for (var i = 0; i < views.Length; i++)
        {
            var measured = orbit.Analysis.OwnShifts(views[i]).Where(m => window.Contains(m.Time)).ToArray();
            if (measured.Length == 0) continue;
            var smooth = orbit.Analysis.Shift(views[i]);
            traces.Add(new PlotTrace
            {
                Name = $"{views[i]} measured",
                Kind = PlotTraceKind.Points,
                Axis = "y0",
                Colour = i + 1,
                X = [.. measured.Select(m => PlotTime.Of(m.Time))],
                Y = [.. measured.Select(m => m.ShiftSamples)],
                Sigma = [.. measured.Select(m => m.SigmaSamples)],
            });
            Instant[] times = [.. window.Steps(SmoothPoints)];
            traces.Add(new PlotTrace
            {
                Name = $"{views[i]} smooth s(t)",
                Kind = PlotTraceKind.Line,
                Axis = "y0",
                Colour = i + 1,
                X = [.. times.Select(PlotTime.Of)],
                Y = [.. times.Select(t => IsCovered(orbit, t) ? smooth.At(t).ShiftSamples : double.NaN)],
            });
            markers.AddRange(smooth.Steps.Where(window.Contains).Select(t => new PlotMarker(PlotTime.Of(t), PlotMarkerKind.ChangePoint, $"Step of the image in view {views[i]}, {UtcText.DateAndTime(t)} UTC")));
            double least = measured.Min(m => m.ShiftSamples), most = measured.Max(m => m.ShiftSamples);
            sentences.Add(string.Create(CultureInfo.InvariantCulture, $"view {views[i]} {least:0.000} to {most:0.000} samples"));
        }
        return new PlotDocument
        {
            Title = $"Image shift on orbit {orbit.Slot.Number}",
            Summary = sentences.Count == 0 ? "" : "Fiducial measurements: " + string.Join("; ", sentences) + ".",
            X = PlotAxis.UtcTime(window.From, window.To),
            Y = [new PlotAxis("y0", "Image shift s", "samples")],
            Traces = traces,
            Markers = markers,
            Bands = window.Shadows(orbit),
            EmptyText = orbit.Mission.Instrument is { Fiducials.Count: 0 } ? "The instrument has no fiducials, so that the image shift cannot be measured." : "No exposure of this orbit gave an image shift.",
        };
    }

    // Where the bench's temperature is not known, s(t) is not used and is not drawn.
    private static bool IsCovered(OrbitContents orbit, Instant time) =>
        orbit.Analysis.Input.BenchC.Count == 0 || orbit.Analysis.Input.BenchC.TryInterpolate(time, TemperatureLookup.LongestGapS, out _);
}
