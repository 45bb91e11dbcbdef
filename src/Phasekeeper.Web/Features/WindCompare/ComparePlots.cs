using System.Globalization;
using Microsoft.AspNetCore.Http.HttpResults;
using Phasekeeper.Core.WindMeans;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Features.Winds;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.WindCompare;

/// <summary>The plots of the comparison.</summary>
public static class ComparePlots
{
    /// <summary>Maps the endpoints.</summary>
    public static void MapComparePlots(this IEndpointRouteBuilder plots)
    {
        var compare = plots.MapGroup("/winds/compare");
        compare.MapGet("/maps", ([AsParameters] CompareParameters asked, Stores stores, PipelineEngine engine) =>
            With(engine, asked, (mission, choice) => Maps(new CompareQueries(stores).Read(mission, choice), choice)));
        compare.MapGet("/days", ([AsParameters] CompareParameters asked, int bin, Stores stores, PipelineEngine engine) =>
            With(engine, asked, (mission, choice) => Days(new CompareQueries(stores).Days(mission, choice, bin), choice, bin)));
    }

    private static Ok<PlotDocument> With(PipelineEngine engine, CompareParameters asked, Func<MissionState, CompareChoice, PlotDocument> make)
    {
        var mission = PlotMission.Of(engine);
        return TypedResults.Ok(make(mission, asked.Read(mission)));
    }

    private static PlotDocument Maps(IReadOnlyList<ComparedBin> bins, CompareChoice choice)
    {
        var isOrbit = choice.Orbit is not null;
        var here = isOrbit ? $"Orbit {choice.Orbit}" : string.Create(CultureInfo.InvariantCulture, $"{choice.Date:yyyy-MM-dd}");
        var limit = WindScale.LimitOf(bins.SelectMany(b => new[] { b.Here?.MeanMs ?? double.NaN, b.Before?.MeanMs ?? double.NaN, b.DifferenceMs }));
        var deviations = bins.SelectMany(b => new[] { b.Before?.DayToDayMs ?? double.NaN, b.Before?.OrbitToOrbitMs ?? double.NaN }).ToArray();
        var (signed, size) = (WindScale.Signed(limit, $"{Word(choice.Component)} wind, and difference"), WindScale.Size(WindScale.LimitOf(deviations), "standard deviation"));
        // Few vectors are doubtful; a difference within twice what is usual is dotted as well.
        PlotTrace[] traces =
        [
            Trace(0, here, bins, b => b.Here?.MeanMs ?? double.NaN, b => b.Here is { Count: < 3 }, signed),
            Trace(1, choice.Base.Phrase, bins, b => b.Before?.MeanMs ?? double.NaN, b => b.Before is { Count: < 3 }, signed),
            Trace(2, "difference", bins, b => b.DifferenceMs, b => !(Math.Abs(b.DifferenceMs) > 2 * b.UsualMs(isOrbit)), signed),
            Trace(3, "from day to day, before", bins, b => b.Before?.DayToDayMs ?? double.NaN, b => b.Before is { Days: < 4 }, size),
            Trace(4, "from orbit to orbit, before", bins, b => b.Before?.OrbitToOrbitMs ?? double.NaN, b => b.Before is { } m && m.Orbits - m.Days < 4, size),
            Trace(5, "within an orbit, before", bins, b => b.Before?.WithinMs ?? double.NaN, b => b.Before is { } m && m.Count - m.Orbits < 4, size),
        ];
        return new PlotDocument
        {
            Title = string.Create(CultureInfo.InvariantCulture, $"{choice.Line}, {Word(choice.Component)} wind at {WindBinGrid.MiddleKm(choice.Altitude):0} km: {here} and {choice.Base.Phrase}"),
            Summary = Summary(bins, choice, isOrbit),
            X = new PlotAxis("x", "Local solar time", "h") { Min = 0, Max = 24, Ticks = [.. Enumerable.Range(0, 5).Select(i => new PlotTick(6 * i, (6 * i).ToString(CultureInfo.InvariantCulture)))] },
            Y = [new PlotAxis("y0", "Latitude", "° N") { Min = -90, Max = 90, Ticks = MapTicks.Of(-60, 60, 60) }],
            Traces = bins.Count == 0 ? [] : traces,
            Panels = new PlotPanels([.. traces.Take(3).Select(t => t.Name)], [new("", null, null, []), new("", null, null, [])], 210) { Titles = [.. traces.Select(t => t.Name)], DottedText = "few values, or usual" },
            EmptyText = "No winds in bins of this height, neither on this day nor before.",
        };
    }

    private static PlotTrace Trace(int panel, string name, IReadOnlyList<ComparedBin> bins, Func<ComparedBin, double> value, Func<ComparedBin, bool> isWeak, PlotColourScale scale)
    {
        var z = new double[WindBinGrid.Latitudes][];
        var quality = new char[WindBinGrid.Latitudes][];
        for (var r = 0; r < z.Length; r++)
        {
            z[r] = [.. Enumerable.Repeat(double.NaN, WindBinGrid.Hours)];
            quality[r] = [.. Enumerable.Repeat(' ', WindBinGrid.Hours)];
        }
        foreach (var bin in bins)
        {
            var (_, latitude, hour) = WindBinGrid.Parts(bin.Bin);
            z[latitude][hour] = Math.Round(value(bin), 1);
            if (double.IsFinite(value(bin))) quality[latitude][hour] = isWeak(bin) ? '1' : '0';
        }
        return new PlotTrace
        {
            Name = name,
            Kind = PlotTraceKind.Heat,
            Axis = "y0",
            Panel = panel,
            Key = "bin",
            X = [.. Enumerable.Range(0, WindBinGrid.Hours).Select(WindBinGrid.MiddleHour)],
            Y = [.. Enumerable.Range(0, WindBinGrid.Latitudes).Select(WindBinGrid.MiddleLatitudeDeg)],
            Z = z,
            Quality = [.. quality.Select(q => new string(q))],
            Scale = scale,
        };
    }

    private static string Summary(IReadOnlyList<ComparedBin> bins, CompareChoice choice, bool isOrbit)
    {
        var both = bins.Where(b => double.IsFinite(b.DifferenceMs)).ToArray();
        if (both.Length == 0) return bins.Count == 0 ? "" : "No bin has winds both on this day and before it.";
        var known = both.Where(b => double.IsFinite(b.UsualMs(isOrbit))).ToArray();
        var unusual = known.Count(b => Math.Abs(b.DifferenceMs) > 2 * b.UsualMs(isOrbit));
        var most = both.Max(b => b.Before!.Value.Days);
        return (string.Create(CultureInfo.InvariantCulture,
            $"{both.Length} bins in common, with up to {most} {(most == 1 ? "day" : "days")} before: mean difference {both.Average(b => b.DifferenceMs):0.0} m/s, rms {Math.Sqrt(both.Average(b => b.DifferenceMs * b.DifferenceMs)):0.0} m/s; ")
            + (known.Length == 0 ? "too few days to tell what is usual. " : string.Create(CultureInfo.InvariantCulture, $"{unusual} of {known.Length} bins differ by more than twice the usual scatter (one in twenty does by chance). "))
            + (choice.WithDoubtful ? "Doubtful winds count." : "Good winds alone count.")).Replace("-", "−", StringComparison.Ordinal);
    }

    private static PlotDocument Days(IReadOnlyList<BinDay> days, CompareChoice choice, int bin)
    {
        var (altitude, latitude, hour) = WindBinGrid.Parts(bin);
        var place = string.Create(CultureInfo.InvariantCulture, $"{WindBinGrid.MiddleLatitudeDeg(latitude):0}° latitude, {WindBinGrid.MiddleHour(hour):0} h local time, {WindBinGrid.MiddleKm(altitude):0} km").Replace("-", "−", StringComparison.Ordinal);
        var before = days.Where(d => d.Date < choice.Date).ToArray();
        var mean = before.Length > 0 ? before.Average(d => d.Mean.MeanMs) : double.NaN;
        return new PlotDocument
        {
            Title = $"{choice.Line}, {Word(choice.Component)} wind day by day at {place}",
            Summary = days.Count == 0 ? "" : string.Create(CultureInfo.InvariantCulture, $"{days.Count} days with winds in this bin; mean of the days before {mean:0.0} m/s. Bars: scatter from orbit to orbit within the day.").Replace("-", "−", StringComparison.Ordinal),
            X = PlotAxis.UtcTime(Core.Time.Instant.StartOf(choice.Date.AddDays(-choice.Base.Days)), Core.Time.Instant.StartOf(choice.Date.AddDays(1))),
            Y = [new PlotAxis("y0", $"{Capital(Word(choice.Component))} wind", "m/s")],
            Traces = days.Count == 0 ? [] :
            [
                new PlotTrace
                {
                    Name = "mean of the day", Kind = PlotTraceKind.Points, Axis = "y0", Role = PlotRole.Measured,
                    X = [.. days.Select(d => PlotTime.Of(Core.Time.Instant.StartOf(d.Date).AddSeconds(43_200)))],
                    Y = [.. days.Select(d => d.Mean.MeanMs)],
                    Sigma = [.. days.Select(d => d.Mean.OrbitToOrbitMs)],
                    Note = [.. days.Select(d => $"{d.Mean.Orbits} orbits, {d.Mean.Count} vectors")],
                },
            ],
            Lines = double.IsFinite(mean) ? [new PlotLine("y0", mean, PlotLineKind.Reference, "mean before")] : [],
            EmptyText = $"No winds at {place} in this stretch.",
        };
    }

    internal static string Word(WindComponent component) => component == WindComponent.Eastward ? "eastward" : "northward";

    private static string Capital(string text) => char.ToUpperInvariant(text[0]) + text[1..];
}
