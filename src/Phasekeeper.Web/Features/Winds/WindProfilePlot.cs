using System.Globalization;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Winds;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>Eastward and northward wind of all lines over height at one place, with 1σ.</summary>
internal static class WindProfilePlot
{
    /// <summary>Makes the plot; <paramref name="minute"/> since the orbit's start.</summary>
    public static PlotDocument Document(OrbitWinds orbit, InstrumentModel instrument, double minute)
    {
        var traces = new List<PlotTrace>();
        WindVector? middle = null;
        foreach (var (line, i) in instrument.Lines.Select((l, i) => (l.Id, i)))
        {
            var profile = orbit.Grids.GetValueOrDefault(line)?.Profile(minute) ?? [];
            if (profile.Count == 0) continue;
            middle ??= profile[profile.Count / 2];
            foreach (var eastward in new[] { true, false })
                foreach (var quality in new[] { WindQuality.Good, WindQuality.Doubtful })
                    if (profile.Where(v => v.Quality == quality).ToArray() is { Length: > 0 } of)
                        traces.Add(new PlotTrace
                        {
                            Name = $"{line} {(eastward ? "eastward" : "northward")}{(quality == WindQuality.Good ? "" : ", doubtful")}",
                            Kind = PlotTraceKind.Points,
                            Axis = eastward ? "east" : "north",
                            Role = quality == WindQuality.Good ? PlotRole.Series : PlotRole.Provisional,
                            Colour = i == 0 ? 4 : 2,
                            X = [.. of.Select(v => eastward ? v.EastwardMs : v.NorthwardMs)],
                            Y = [.. of.Select(v => v.AltitudeKm)],
                            Sigma = [.. of.Select(v => eastward ? v.EastwardSigmaMs : v.NorthwardSigmaMs)],
                            SigmaOfX = true,
                            Note = [.. of.Select(v => $"row {v.Row}" + (v.Reasons.Count > 0 ? ", " + string.Join(", ", v.Reasons.Select(r => r.Word)) : ""))],
                        });
        }
        var heights = traces.SelectMany(t => t.Y).DefaultIfEmpty(100).ToArray();
        PlotAxis Axis(string id, string title) => new(id, title, "km") { Min = heights.Min() - 10, Max = heights.Max() + 10 };
        return new PlotDocument
        {
            Title = $"Winds over height on orbit {orbit.Slot.Number}",
            Summary = middle is null ? "" : string.Create(CultureInfo.InvariantCulture,
                $"{UtcText.DateAndTime(middle.Time)} UTC, near {middle.LatitudeRad * (180 / Math.PI):0.0}° latitude, {middle.LongitudeRad * (180 / Math.PI):0.0}° longitude; the two looks lie {middle.SecondsBetweenLooks:0} s apart. Bars: 1σ.").Replace("-", "−", StringComparison.Ordinal),
            X = new PlotAxis("x", "Wind", "m/s"),
            Y = [Axis("east", "Eastward: altitude"), Axis("north", "Northward: altitude")],
            Traces = traces,
            EmptyText = "No good or doubtful wind vectors near this moment.",
        };
    }
}
