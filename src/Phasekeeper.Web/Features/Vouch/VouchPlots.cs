using System.Globalization;
using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.ZeroWind;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Shared.Numbers;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Vouch;

/// <summary>Plots of our winds beside independent ones, and of how far the zero wind's geometry is.</summary>
public static class VouchPlots
{
    // Chosen: more points hide each other; they are taken evenly over time, and the line is fitted to all.
    private const int MostPoints = 3000;

    /// <summary>Adds the routes.</summary>
    public static void MapVouchPlots(this IEndpointRouteBuilder plots)
    {
        plots.MapGet("/vouch/scatter", (long set, [AsParameters] ComparisonQuery query, Stores stores) => TypedResults.Json(Scatter(new VouchQueries(stores).Pairs(set, query.Read()).Pairs), ApiJson.Options));
        plots.MapGet("/vouch/bias", (long set, string by, [AsParameters] ComparisonQuery query, Stores stores) => ComparisonGroups.Ways.Contains(by)
            ? TypedResults.Json(Bias(new VouchQueries(stores).Pairs(set, query.Read()).Pairs, by), ApiJson.Options) : throw ApiProblems.BadRequest(ApiTexts.UnknownWord("by", by, ComparisonGroups.Ways)));
        plots.MapGet("/vouch/geometry", (long day, string line, Stores stores) => TypedResults.Json(Geometry(stores.ZeroWinds.Read(day, day).Select(e => e.Estimate).FirstOrDefault(e => e.Line == line)), ApiJson.Options));
    }

    private static PlotDocument Scatter(IReadOnlyList<ComparisonPair> pairs)
    {
        var step = Math.Max(1, (pairs.Count + MostPoints - 1) / MostPoints);
        var shown = pairs.Where((_, i) => i % step == 0).ToArray();
        var traces = new List<PlotTrace>();
        foreach (var (line, i) in shown.GroupBy(p => p.Line).OrderBy(g => g.Key, StringComparer.Ordinal).Select((g, i) => (g, i)))
            traces.Add(new()
            {
                Name = line.Key,
                Kind = PlotTraceKind.Points,
                Axis = "own",
                Colour = i + 1,
                X = [.. line.Select(p => p.OtherMs)],
                Y = [.. line.Select(p => p.OwnMs)],
                Orbit = [.. line.Select(p => p.Orbit)],
                Note = [.. line.Select(p => string.Create(CultureInfo.InvariantCulture, $"{UtcText.DateAndMinute(p.Time)} UTC, {p.AltitudeKm:0} km, {p.DistanceKm:0} km and {p.Minutes:0} min apart"))],
            });
        if (shown.Length > 1)
        {
            double[] ends = [shown.Min(p => p.OtherMs), shown.Max(p => p.OtherMs)];
            traces.Add(new() { Name = "equal", Kind = PlotTraceKind.Line, Axis = "own", Role = PlotRole.Context, X = ends, Y = ends });
            if (ComparisonStatistics.Of(pairs)?.Line is { } fit)
                traces.Add(new() { Name = "regression", Kind = PlotTraceKind.Line, Axis = "own", Role = PlotRole.Model, X = ends, Y = [.. ends.Select(x => fit.Intercept + fit.Slope * x)] });
        }
        return new()
        {
            Title = "Our winds against independent winds",
            Summary = pairs.Count == 0 ? "" : $"{pairs.Count} pairs{(step > 1 ? $", every {step}th shown" : "")}. {Words(ComparisonStatistics.Of(pairs)!)}",
            X = new PlotAxis("x", "Independent wind", "m/s"),
            Y = [new PlotAxis("own", "Our wind", "m/s")],
            Traces = traces,
            EmptyText = "No pair of this choice is within the limits.",
        };
    }

    private static string Words(ComparisonSummary s) =>
        $"Bias {FigureText.Of(s.BiasMs, 2)}{(double.IsFinite(s.BiasSigmaMs) ? $" ± {FigureText.Of(s.BiasSigmaMs, 2)}" : "")} m/s, spread {FigureText.Of(s.SpreadMs, 2)} m/s ({FigureText.Of(s.ExpectedSpreadMs, 2)} expected), correlation {FigureText.Of(s.Correlation, 2)}.";

    private static PlotDocument Bias(IReadOnlyList<ComparisonPair> pairs, string by)
    {
        var altitude = by == ComparisonGroups.ByAltitude;
        var groups = ComparisonGroups.Of(pairs, by);
        var traces = new List<PlotTrace>();
        foreach (var (series, i) in groups.GroupBy(g => (g.Compared, g.View, g.Line)).Select((g, i) => (g, i)))
        {
            var name = $"{new ComparedSeries(series.Key.Compared, series.Key.View).ShortWords}, {series.Key.Line}";
            double[] x = [.. series.Select(g => g.To < 1000 ? (g.From + g.To) / 2 : g.From)];
            traces.Add(new()
            {
                Name = name,
                Kind = PlotTraceKind.Points,
                Axis = "bias",
                Colour = i % 8 + 1,
                X = x,
                Y = [.. series.Select(g => g.Summary.BiasMs)],
                Sigma = [.. series.Select(g => g.Summary.BiasSigmaMs)],
                Note = [.. series.Select(g => $"{g.Bin}: {g.Summary.Pairs} pairs of {g.Summary.Encounters} orbits")],
            });
            traces.Add(new() { Name = name + ": spread", Kind = PlotTraceKind.Points, Axis = "spread", Colour = i % 8 + 1, InLegend = false, X = x, Y = [.. series.Select(g => g.Summary.SpreadMs)] });
            traces.Add(new() { Name = name + ": expected spread", Kind = PlotTraceKind.Line, Axis = "spread", Role = PlotRole.Model, InLegend = i == 0, X = x, Y = [.. series.Select(g => g.Summary.ExpectedSpreadMs)] });
        }
        return new()
        {
            Title = altitude ? "Bias by altitude" : "Bias by local time",
            Summary = groups.Count == 0 ? "" : "Mean of ours minus theirs with 1σ (the pairs of an orbit count as one event); below it the robust spread, and dashed the spread that both sides' σ let expect.",
            X = altitude ? new PlotAxis("x", "Altitude", "km") : new PlotAxis("x", "Local solar time", "h") { Min = 0, Max = 24 },
            Y = [new PlotAxis("bias", "Bias", "m/s") { Share = 1.5 }, new PlotAxis("spread", "Spread", "m/s")],
            Traces = traces,
            Lines = [new PlotLine("bias", 0, PlotLineKind.Reference)],
            EmptyText = "No pair of this choice is within the limits.",
        };
    }

    private static PlotDocument Geometry(ZeroWindEstimate? estimate)
    {
        const int hours = ZeroWindGrid.Hours;
        var seen = estimate is null ? [] : Enumerable.Range(0, ZeroWindGrid.Latitudes).Where(l => Enumerable.Range(0, hours).Any(h => estimate.Columns[l * hours + h] != ZeroWindColumn.Empty)).ToArray();
        return new()
        {
            Title = "Places and local times seen by both legs",
            Summary = seen.Length == 0 ? "" : string.Create(CultureInfo.InvariantCulture, $"{estimate!.Columns.Count(c => c == ZeroWindColumn.Used)} columns used, {estimate.Columns.Count(c => c == ZeroWindColumn.OneLeg)} seen by one leg alone, {estimate.Columns.Count(c => c == ZeroWindColumn.LeftOut)} left out because both legs look the same way there."),
            X = new PlotAxis("x", "Local solar time", "h") { Min = 0, Max = hours },
            Y = [new PlotAxis("latitude", "Latitude", "°")],
            Traces = seen.Length == 0 ? [] :
            [
                new PlotTrace
                {
                    Name = "seen by: 1 one leg, 2 both, left out, 3 both, used",
                    Kind = PlotTraceKind.Heat,
                    Axis = "latitude",
                    X = [.. Enumerable.Range(0, hours).Select(h => h + 0.5)],
                    Y = [.. seen.Select(l => -90 + ZeroWindGrid.LatitudeStepDeg * (l + 0.5))],
                    Z = [.. seen.Select(l => (IReadOnlyList<double>)[.. Enumerable.Range(0, hours).Select(h => Number(estimate!.Columns[l * hours + h]))])],
                    Scale = new PlotColourScale("Seen by", null, false, 0.5, 3.5, [new(1, "one leg"), new(2, "both, left out"), new(3, "both, used")]),
                },
            ],
            EmptyText = "No good winds in the window yet.",
        };
    }

    private static double Number(ZeroWindColumn column) => column switch { ZeroWindColumn.OneLeg => 1, ZeroWindColumn.LeftOut => 2, ZeroWindColumn.Used => 3, _ => double.NaN };
}
