using System.Globalization;
using Microsoft.AspNetCore.Http.HttpResults;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Features.Winds;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.WindCorrections;

/// <summary>The plots of winds with and without corrections.</summary>
public static class CorrectionPlots
{
    /// <summary>Maps the endpoints.</summary>
    public static void MapCorrectionPlots(this IEndpointRouteBuilder plots)
    {
        var corrections = plots.MapGroup("/winds/corrections/{number:int}");
        corrections.MapGet("/sizes", SizesAsync);
        corrections.MapGet("/panels", PanelsAsync);
    }

    private static async Task<Ok<PlotDocument>> SizesAsync(int number, CorrectionService service, Stores stores, PipelineEngine engine, CancellationToken cancel)
    {
        var (mission, instrument) = Mission(engine);
        var sizes = new List<(CorrectionWords Words, double EastwardMs, double NorthwardMs, int Count)>();
        foreach (var words in CorrectionWords.All)
        {
            var differences = (await Of(number, words, service, mission, cancel)).Differences().ToArray();
            if (differences.Length > 0) sizes.Add((words, Rms(differences.Select(d => d.EastwardMs)), Rms(differences.Select(d => d.NorthwardMs)), differences.Length));
        }
        PlotTrace Bars(string name, int colour, Func<(CorrectionWords, double EastwardMs, double NorthwardMs, int), double> value) => new()
        {
            Name = name,
            Kind = PlotTraceKind.Bars,
            Axis = "y0",
            Colour = colour,
            X = [.. sizes.Select((_, i) => (double)i)],
            // A logarithm has no zero: what is exactly without effect stands below the axis.
            Y = [.. sizes.Select(s => Math.Max(value(s), 1e-3))],
            Note = [.. sizes.Select(s => $"{s.Words.Title}, {s.Count} places")],
        };
        return TypedResults.Ok(new PlotDocument
        {
            Title = $"What each correction does to the winds of orbit {number}",
            Summary = sizes.Count == 0 ? "" : "Rms change of the vectors when it is left out: " + string.Join(", ", sizes.Select(s => string.Create(CultureInfo.InvariantCulture, $"{s.Words.Title} {Figure(Math.Sqrt((s.EastwardMs * s.EastwardMs + s.NorthwardMs * s.NorthwardMs) / 2))} m/s"))) + ".",
            X = new PlotAxis("x", "Correction left out", null) { Min = -0.6, Max = CorrectionWords.All.Count - 0.4, Ticks = [.. sizes.Select((s, i) => new PlotTick(i, s.Words.Title))] },
            Y = [new PlotAxis("y0", "Rms change", "m/s", PlotAxisKind.Logarithmic)],
            Traces = sizes.Count == 0 ? [] : [Bars("eastward", 1, s => s.EastwardMs), Bars("northward", 2, s => s.NorthwardMs)],
            EmptyText = "The winds of this orbit cannot be made again: a view, the orbit file or a coefficient set is missing.",
        }.Marked(stores, [number]));
    }

    private static async Task<Ok<PlotDocument>> PanelsAsync(int number, string? off, CorrectionService service, Stores stores, PipelineEngine engine, CancellationToken cancel)
    {
        var (mission, instrument) = Mission(engine);
        var words = CorrectionWords.Of(off);
        return TypedResults.Ok(Panels(await Of(number, words, service, mission, cancel), words, instrument).Marked(stores, [number]));
    }

    private static PlotDocument Panels(ComparedWinds of, CorrectionWords words, InstrumentModel instrument)
    {
        var columns = instrument.Lines.SelectMany(l => new[] { (Line: l.Id, Eastward: true), (Line: l.Id, Eastward: false) }).ToArray();
        var winds = WindScale.Signed(WindScale.LimitOf(WindScale.Counting(of.With.Values.SelectMany(g => g.Vectors))));
        var differences = of.Differences().ToArray();
        var change = WindScale.Signed(WindScale.LimitOf(differences.SelectMany(d => new[] { d.EastwardMs, d.NorthwardMs })), "Without minus with");
        var traces = new List<PlotTrace>();
        for (var c = 0; c < columns.Length; c++)
        {
            var (line, eastward) = columns[c];
            if (of.With.GetValueOrDefault(line) is not { } with || of.Without.GetValueOrDefault(line) is not { } without) continue;
            double Value(WindVector v) => Math.Round(eastward ? v.EastwardMs : v.NorthwardMs, 1);
            var place = with.Vectors.ToDictionary(v => (v.SecondExposure, v.Row));
            // What is bad with all corrections is drawn in no row; quality without one would only say that the correction is missing.
            IReadOnlyList<string> QualityOf(WindGrid grid) => [.. Enumerable.Range(0, grid.AltitudesKm.Length).Select(r => string.Concat(Enumerable.Range(0, grid.Minutes.Length)
                .Select(k => grid[r, k] is { } v && place.TryGetValue((v.SecondExposure, v.Row), out var own) ? (char)('0' + (int)own.Quality) : ' ')))];
            PlotTrace Trace(int row, string name, WindGrid grid, Func<WindVector, double> value, PlotColourScale scale) => new()
            {
                Name = $"{name}, {line}, {(eastward ? "eastward" : "northward")}",
                Kind = PlotTraceKind.Heat,
                Axis = "y0",
                Panel = row * columns.Length + c,
                X = grid.Minutes,
                Y = grid.AltitudesKm,
                Z = grid.Values(value),
                Quality = QualityOf(grid),
                Scale = scale,
            };
            traces.Add(Trace(0, "all corrections", with, Value, winds));
            traces.Add(Trace(1, $"without {words.Title}", without, Value, winds));
            traces.Add(Trace(2, "change", without, v => place.TryGetValue((v.SecondExposure, v.Row), out var own) ? Math.Round(Value(v) - Value(own), 1) : double.NaN, change));
        }
        var heights = traces.SelectMany(t => t.Y).DefaultIfEmpty(100).ToArray();
        var slot = of.Orbit.Slot;
        return new PlotDocument
        {
            Title = $"Winds of orbit {slot.Number} with and without: {words.Title}",
            Summary = differences.Length == 0 ? "" : string.Join("; ", instrument.Lines.Select(l => (l.Id, Of: differences.Where(d => d.Line == l.Id).ToArray())).Where(l => l.Of.Length > 0).Select(l => string.Create(CultureInfo.InvariantCulture,
                $"{l.Id}: rms change eastward {Figure(Rms(l.Of.Select(d => d.EastwardMs)))} m/s, northward {Figure(Rms(l.Of.Select(d => d.NorthwardMs)))} m/s"))) + $" ({differences.Length} places). The first two rows share one scale, the change has its own.",
            X = new PlotAxis("x", "Minutes since the ascending node", "min") { Min = 0, Max = Math.Ceiling((slot.End - slot.Start) / 60) },
            Y = [new PlotAxis("y0", "Altitude", "km") { Min = 10 * Math.Floor((heights.Min() - 4) / 10), Max = 10 * Math.Ceiling((heights.Max() + 4) / 10) }],
            Traces = traces,
            Panels = new PlotPanels([.. columns.Select(c => $"{c.Line}, {(c.Eastward ? "eastward" : "northward")}")],
                [.. new[] { "with", "without", "change" }.Select(name => new PlotPanelRow(name, null, null, of.Orbit.Bands) { Time = new(slot.Start, slot.End) })], 120),
            EmptyText = "The winds of this orbit cannot be made again: a view, the orbit file or a coefficient set is missing.",
        };
    }

    private static (MissionState, InstrumentModel) Mission(PipelineEngine engine)
    {
        var mission = PlotMission.Of(engine);
        return (mission, mission.Instrument ?? throw ApiProblems.BadRequest("This mission has no instrument, so it has no winds."));
    }

    private static async Task<ComparedWinds> Of(int number, CorrectionWords words, CorrectionService service, MissionState mission, CancellationToken cancel) =>
        await service.GetAsync(mission, number, words.Correction, cancel) ?? throw ApiProblems.NotFound("orbit", number.ToString(CultureInfo.InvariantCulture));

    private static double Rms(IEnumerable<double> values) => Math.Sqrt(values.Average(v => v * v));

    private static string Figure(double value) => value.ToString(value < 10 ? "0.0" : "0", CultureInfo.InvariantCulture);
}
