using System.Globalization;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Winds;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Days;
using Phasekeeper.Web.Shared.Numbers;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>What the colours of wind panels show.</summary>
public enum WindLayer
{
    /// <summary>The winds.</summary>
    Wind,
    /// <summary>Their 1σ.</summary>
    Sigma,
}

/// <summary>Altitude × time panels of winds: a row an orbit, a column a line and component.</summary>
internal static class WindPanels
{
    /// <summary>All orbits of a day.</summary>
    public static PlotDocument Day(IReadOnlyList<OrbitWinds> orbits, InstrumentModel instrument, DateOnly date, WindLayer layer, double? limit, IReadOnlyDictionary<int, HoldKind> held) =>
        Document(orbits, instrument, layer, limit, RowHeight(orbits.Count), string.Create(CultureInfo.InvariantCulture, $"Winds of {date:yyyy-MM-dd}, {(layer == WindLayer.Wind ? "all orbits" : "1σ, all orbits")}"),
            o => $"/winds?date={date:yyyy-MM-dd}&orbit={o.Slot.Number}", null, held) with
        { Summary = $"{HeldNotice.SentenceOf([.. orbits.Select(o => o.Slot.Number).Where(held.ContainsKey)])} {Summary(orbits, instrument, limit ?? WindScale.LimitOf(WindScale.Counting(orbits.SelectMany(o => o.Vectors))))}".Trim() };

    /// <summary>Height of an orbit's panels, px: a day of sixteen fits a screen, a young day fills it.</summary>
    public static int RowHeight(int orbits) => Math.Clamp(560 / Math.Max(1, orbits), 44, 120);

    /// <summary>One orbit, larger; <paramref name="minute"/> is marked.</summary>
    public static PlotDocument Orbit(OrbitWinds orbit, InstrumentModel instrument, WindLayer layer, double? limit, double? minute, IReadOnlyDictionary<int, HoldKind> held) =>
        Document([orbit], instrument, layer, limit, 190, $"{(layer == WindLayer.Wind ? "Winds" : "1σ of winds")} of orbit {orbit.Slot.Number}{(held.ContainsKey(orbit.Slot.Number) ? " (held)" : "")}", _ => null, minute, held);

    private static PlotDocument Document(IReadOnlyList<OrbitWinds> orbits, InstrumentModel instrument, WindLayer layer, double? limit, int rowHeight, string title, Func<OrbitWinds, string?> href, double? minute, IReadOnlyDictionary<int, HoldKind> held)
    {
        var columns = instrument.Lines.SelectMany(l => new[] { (Line: l.Id, Eastward: true), (Line: l.Id, Eastward: false) }).ToArray();
        var scale = layer == WindLayer.Wind
            ? WindScale.Signed(limit ?? WindScale.LimitOf(WindScale.Counting(orbits.SelectMany(o => o.Vectors))))
            : WindScale.Size(WindScale.LimitOf(orbits.SelectMany(o => o.Vectors).Where(v => v.Quality != WindQuality.Bad).SelectMany(v => new[] { v.EastwardSigmaMs, v.NorthwardSigmaMs })));
        var traces = new List<PlotTrace>();
        for (var r = 0; r < orbits.Count; r++)
            for (var c = 0; c < columns.Length; c++)
                if (orbits[r].Grids.GetValueOrDefault(columns[c].Line) is { } grid)
                    traces.Add(new PlotTrace
                    {
                        Name = $"orbit {orbits[r].Slot.Number}, {columns[c].Line}, {(columns[c].Eastward ? "eastward" : "northward")}",
                        Key = $"{orbits[r].Slot.Number}|{columns[c].Line}",
                        Kind = PlotTraceKind.Heat,
                        Axis = "y0",
                        Panel = r * columns.Length + c,
                        X = grid.Minutes,
                        Y = grid.AltitudesKm,
                        Z = grid.Values(Value(columns[c].Eastward, layer)),
                        Quality = grid.Quality(),
                        Scale = scale,
                    });
        var heights = traces.SelectMany(t => t.Y).ToArray();
        return new PlotDocument
        {
            Title = title,
            Summary = "",
            X = new PlotAxis("x", "Minutes since the ascending node", "min") { Min = 0, Max = orbits.Count == 0 ? 96 : Math.Ceiling(orbits.Max(o => (o.Slot.End - o.Slot.Start) / 60)) },
            Y = [new PlotAxis("y0", "Altitude", "km") { Min = heights.Length == 0 ? 80 : 10 * Math.Floor((heights.Min() - 4) / 10), Max = heights.Length == 0 ? 320 : 10 * Math.Ceiling((heights.Max() + 4) / 10) }],
            Traces = traces,
            Panels = new PlotPanels([.. columns.Select(c => $"{Capital(c.Line)}, {(c.Eastward ? "eastward" : "northward")}")],
                [.. orbits.Select(o => new PlotPanelRow(o.Slot.Number.ToString(CultureInfo.InvariantCulture), UtcText.Minute(o.Slot.Start) + (held.ContainsKey(o.Slot.Number) ? " held" : "") + (o.Provisional ? " prov." : ""), href(o), o.Bands)
                {
                    Time = new(o.Slot.Start, o.Slot.End),
                    Markers = minute is { } at ? [new PlotMarker(at, PlotMarkerKind.Event, "chosen")] : [],
                })], rowHeight),
            EmptyText = "No wind vectors: they follow when both views of an orbit have been retrieved.",
        };
    }

    private static Func<WindVector, double> Value(bool eastward, WindLayer layer) => (eastward, layer) switch
    {
        (true, WindLayer.Wind) => v => Math.Round(v.EastwardMs),
        (false, WindLayer.Wind) => v => Math.Round(v.NorthwardMs),
        (true, _) => v => Math.Round(v.EastwardSigmaMs, 1),
        _ => v => Math.Round(v.NorthwardSigmaMs, 1),
    };

    private static string Summary(IReadOnlyList<OrbitWinds> orbits, InstrumentModel instrument, double limit)
    {
        var all = orbits.SelectMany(o => o.Vectors).ToArray();
        if (all.Length == 0) return "";
        var parts = new List<string>();
        foreach (var line in instrument.Lines)
        {
            var good = all.Where(v => v.Line == line.Id && v.Quality == WindQuality.Good).ToArray();
            if (good.Length == 0) continue;
            parts.Add(string.Create(CultureInfo.InvariantCulture, $"{line.Id}: eastward {Range(good.Select(v => v.EastwardMs))}, northward {Range(good.Select(v => v.NorthwardMs))}, typical 1σ {Median(good.Select(v => v.EastwardSigmaMs)):0.0} m/s"));
        }
        var beyond = all.Where(v => v.Quality == WindQuality.Good).SelectMany(v => new[] { v.EastwardMs, v.NorthwardMs }).ToArray() is { Length: > 0 } drawn ? 100.0 * drawn.Count(x => Math.Abs(x) > limit) / drawn.Length : 0;
        var share = string.Join(", ", all.GroupBy(v => v.Quality).OrderBy(g => g.Key).Select(g => string.Create(CultureInfo.InvariantCulture, $"{100.0 * g.Count() / all.Length:0} % {g.Key.ToString().ToLowerInvariant()}")));
        return $"{(orbits.Count == 1 ? "1 orbit" : $"{orbits.Count} orbits")}, {NumberText.Whole(all.Length)} vectors, {share}. Nine tenths of the good winds: {string.Join("; ", parts)}. "
            + string.Create(CultureInfo.InvariantCulture, $"Colours reach ±{limit:0} m/s; {beyond:0.0} % lie beyond.").Replace("-", "−", StringComparison.Ordinal);
    }

    private static string Range(IEnumerable<double> values)
    {
        var sorted = values.Order().ToArray();
        return string.Create(CultureInfo.InvariantCulture, $"{sorted[(int)(0.05 * (sorted.Length - 1))]:0} to {sorted[(int)(0.95 * (sorted.Length - 1))]:0} m/s").Replace("-", "−", StringComparison.Ordinal);
    }

    private static double Median(IEnumerable<double> values) => values.Order().ToArray() is { Length: > 0 } sorted ? sorted[sorted.Length / 2] : double.NaN;

    private static string Capital(string text) => text.Length == 0 ? text : char.ToUpperInvariant(text[0]) + text[1..];
}
