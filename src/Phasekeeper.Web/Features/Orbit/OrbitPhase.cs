using System.Globalization;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Orbit;

/// <summary>
/// Optical drift: measured by the lamp, by the approved thermal model, and by the model anchored to the lamp; below it the residual, measured minus approved model
/// after the orbit's mean is taken out (as the tracker "thermal residual" defines it), in rad and as wind.
/// </summary>
internal static class OrbitPhase
{
    private const int ModelPoints = 240;

    /// <summary>Makes the plot.</summary>
    public static PlotDocument Document(OrbitContents orbit, PlotWindow window, string? view, string? line)
    {
        var channels = orbit.Channels(view, line);
        var traces = new List<PlotTrace>();
        var sentences = new List<string>();
        for (var i = 0; i < channels.Count; i++)
        {
            var channel = channels[i];
            var name = $"{channel.View} {channel.Line.Id}";
            var drift = orbit.Analysis.Drift(channel);
            LampDriftPoint[] own = [.. drift.Points.Where(p => window.Contains(p.Time))];
            if (own.Length == 0) continue;
            AddDrift(traces, orbit, window, drift, own, name, i + 1, channels.Count == 1);
            AddResidual(traces, sentences, channel, orbit, own, name, i + 1);
        }
        return new PlotDocument
        {
            Title = $"Optical drift and thermal residual on orbit {orbit.Slot.Number}",
            Summary = sentences.Count == 0 ? "" : "Residual, rms: " + string.Join(", ", sentences) + ".",
            X = PlotAxis.UtcTime(window.From, window.To),
            Y = [new PlotAxis("y0", "Drift", "rad") { Share = 1.4 }, new PlotAxis("rad", "Residual", "rad"), new PlotAxis("ms", "as wind", "m/s")],
            Traces = traces,
            Lines = [new PlotLine("rad", 0, PlotLineKind.Reference), new PlotLine("ms", 0, PlotLineKind.Reference)],
            Bands = window.Shadows(orbit),
            EmptyText = orbit.Mission.Instrument is null ? "This mission has no fringe telemetry." : "No lamp exposure of this orbit gave a phase, or the temperature is not known.",
        };
    }

    private static void AddDrift(List<PlotTrace> traces, OrbitContents orbit, PlotWindow window, LampAnchoredDrift drift, LampDriftPoint[] own, string name, int colour, bool alone)
    {
        traces.Add(new PlotTrace
        {
            Name = alone ? "measured by the lamp" : name,
            Kind = PlotTraceKind.Points,
            Axis = "y0",
            Colour = colour,
            X = [.. own.Select(p => PlotTime.Of(p.Time))],
            Y = [.. own.Select(p => p.MeasuredRad)],
            Sigma = [.. own.Select(p => p.SigmaRad)],
            Note = [.. own.Select(p => string.Create(CultureInfo.InvariantCulture, $"lagged temperature {p.LaggedC.LaggedC:0.000} °C, {p.Rows} rows"))],
        });
        Instant[] times = [.. window.Steps(ModelPoints)];
        var estimates = times.Select(t => drift.TryGet(t, out var e) ? e : (DriftEstimate?)null).ToArray();
        double[] x = [.. times.Select(PlotTime.Of)];
        traces.Add(new PlotTrace
        {
            Name = alone ? "model anchored to the lamp" : name + " model",
            Kind = PlotTraceKind.Line,
            Axis = "y0",
            Colour = colour,
            InLegend = alone,
            X = x,
            Y = [.. estimates.Select(e => e?.DriftRad ?? double.NaN)],
        });
        if (!alone) return;
        traces.Add(new PlotTrace
        {
            Name = "approved thermal model alone",
            Kind = PlotTraceKind.Line,
            Axis = "y0",
            Role = PlotRole.Model,
            X = x,
            Y = [.. estimates.Select(e => e?.ModelRad ?? double.NaN)],
        });
    }

    private static void AddResidual(List<PlotTrace> traces, List<string> sentences, OpticalChannel channel, OrbitContents orbit, LampDriftPoint[] own, string name, int colour)
    {
        var kappa = channel.Line.KappaAtMeanRadPerMs;
        var inside = orbit.Analysis.OwnLampPoints(channel);
        if (inside.Length == 0) return;
        var mean = inside.Average(p => p.OffsetRad);
        foreach (var (axis, factor) in new[] { ("rad", 1.0), ("ms", 1 / kappa) })
            foreach (var nearGap in new[] { false, true })
                if (own.Where(p => p.LaggedC.NearGap == nearGap).ToArray() is { Length: > 0 } points)
                    traces.Add(new PlotTrace
                    {
                        Name = name + " residual" + (axis == "ms" ? " as wind" : "") + (nearGap ? ", soon after a gap of the temperature (not counted)" : ""),
                        Kind = PlotTraceKind.Points,
                        Axis = axis,
                        Role = nearGap ? PlotRole.Provisional : PlotRole.Series,
                        Colour = colour,
                        InLegend = false,
                        X = [.. points.Select(p => PlotTime.Of(p.Time))],
                        Y = [.. points.Select(p => (p.OffsetRad - mean) * factor)],
                        Sigma = [.. points.Select(p => p.SigmaRad * factor)],
                    });
        if (inside.Length < 3) return;
        var rms = Math.Sqrt(inside.Sum(p => (p.OffsetRad - mean) * (p.OffsetRad - mean)) / (inside.Length - 1));
        sentences.Add(string.Create(CultureInfo.InvariantCulture, $"{name} {rms / kappa:0.0} m/s ({rms:0.0000} rad)"));
    }
}
