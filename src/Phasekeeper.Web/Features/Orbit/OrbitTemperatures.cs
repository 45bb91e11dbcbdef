using System.Globalization;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Orbit;

/// <summary>Temperatures with a role in the profile, and the interferometer's through its approved lag.</summary>
internal static class OrbitTemperatures
{
    private const int LagPoints = 400;

    /// <summary>Makes the plot.</summary>
    public static PlotDocument Document(OrbitContents orbit, PlotWindow window, string? view, string? line)
    {
        var (input, profile) = (orbit.Analysis.Input, orbit.Mission.Profile);
        var axes = new List<PlotAxis>();
        var traces = new List<PlotTrace>();
        Add("Interferometer", profile.InterferometerTemperature, input.InterferometerC);
        // The approved lags of views and lines differ by little: the first chosen one stands for all.
        if (axes.Count > 0 && orbit.Channels(view, line) is [var channel, ..]) traces.Add(Lagged(orbit, window, channel, axes[0].Id));
        Add("Bench", profile.BenchTemperature, input.BenchC);
        Add("Detector", profile.DetectorTemperature, input.DetectorC);
        return new PlotDocument
        {
            Title = $"Temperatures on orbit {orbit.Slot.Number}",
            Summary = Summary(orbit, window),
            X = PlotAxis.UtcTime(window.From, window.To),
            Y = axes.Count > 0 ? axes : [new PlotAxis("y0", "Temperature", "°C")],
            Traces = traces,
            Bands = window.Shadows(orbit),
            EmptyText = profile.InterferometerTemperature is null && profile.BenchTemperature is null && profile.DetectorTemperature is null
                ? "The mission profile gives no channel the role of a temperature." : "No temperature arrived on this orbit.",
        };

        void Add(string title, string? name, TemperatureSeries series)
        {
            if (name is null) return;
            var id = "y" + axes.Count;
            axes.Add(new PlotAxis(id, title, "°C"));
            var part = series.Between(window.From, window.To);
            if (part.Count == 0) return;
            traces.Add(MinMaxDecimator.Reduce(new PlotTrace
            {
                Name = name,
                Kind = PlotTraceKind.Line,
                Axis = id,
                Colour = axes.Count,
                X = [.. part.Times.ToArray().Select(PlotTime.Of)],
                Y = part.ValuesC.ToArray(),
            }, window.Columns));
        }
    }

    private static PlotTrace Lagged(OrbitContents orbit, PlotWindow window, OpticalChannel channel, string axis)
    {
        var lagS = channel.Optics.Thermal.LagS;
        var lagged = orbit.Analysis.Lagged(lagS);
        Instant[] times = [.. window.Steps(LagPoints)];
        return new PlotTrace
        {
            Name = string.Create(CultureInfo.InvariantCulture, $"as the optics follow it, {channel.View} {channel.Line.Id} (τ = {lagS:0} s)"),
            Kind = PlotTraceKind.Line,
            Axis = axis,
            Role = PlotRole.Model,
            X = [.. times.Select(PlotTime.Of)],
            Y = [.. times.Select(t => lagged.TryGet(t, out var value) ? value.LaggedC : double.NaN)],
        };
    }

    private static string Summary(OrbitContents orbit, PlotWindow window)
    {
        var part = orbit.Analysis.Input.InterferometerC.Between(window.From, window.To);
        if (part.Count == 0) return "";
        double least = double.PositiveInfinity, most = double.NegativeInfinity;
        foreach (var c in part.ValuesC) (least, most) = (Math.Min(least, c), Math.Max(most, c));
        return string.Create(CultureInfo.InvariantCulture, $"Interferometer {least:0.00} to {most:0.00} °C, a swing of {most - least:0.00} K.") + (orbit.Sky is { Shadows.Count: > 0 } ? " Shaded: the Earth's shadow." : "");
    }
}
