using Microsoft.AspNetCore.Http.HttpResults;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Drift;

/// <summary>The plot of tracker series over time, or against another series.</summary>
public static class DriftPlots
{
    /// <summary>Most series in one plot.</summary>
    public const int MostSeries = 8;

    /// <summary>Maps the endpoint.</summary>
    public static void MapDriftPlots(this IEndpointRouteBuilder plots) =>
        plots.MapGet("/drift", Get).WithSummary("Tracker series with their statistics.");

    private static Ok<PlotDocument> Get([AsParameters] PlotQuery query, string[] s, string? x, string? range, Stores stores, PipelineEngine engine)
    {
        var mission = PlotMission.Of(engine);
        var asked = query.Read();
        if (s.Length is 0 or > MostSeries) throw ApiProblems.BadRequest($"Found {s.Length} series; expected 1 to {MostSeries}.");
        var keys = s.Select(text => SeriesText.Read(text) ?? throw ApiProblems.NotFound("tracker series", text)).ToArray();
        var queries = new DriftQueries(stores);
        var (from, to) = queries.Range(new(RangeWord.Of(range, DriftQueries.DefaultRange), asked.From, asked.To));
        var series = keys.Select(k => queries.Read(mission, k, from, to)).ToArray();
        if (string.IsNullOrEmpty(x) || x == "time") return TypedResults.Ok(DriftOverTime.Document(queries, mission, series, from, to, asked.Columns));
        var across = SeriesText.Read(x) ?? throw ApiProblems.NotFound("tracker series", x);
        return TypedResults.Ok(DriftAcross.Document(series, queries.Read(mission, across, from, to), asked.Columns));
    }

    /// <summary>Panels: one a unit, in the order of the series.</summary>
    internal static IReadOnlyList<PlotAxis> Axes(IReadOnlyList<DriftSeries> series) =>
        [.. series.Select(s => s.Unit ?? s.Key.Tracker).Distinct(StringComparer.Ordinal).Select((unit, i) =>
        {
            var members = series.Where(s => (s.Unit ?? s.Key.Tracker) == unit).ToArray();
            var titles = members.Select(m => m.Info.Title).Distinct(StringComparer.Ordinal).ToArray();
            return new PlotAxis("y" + i, titles.Length == 1 ? titles[0] : "Values", members[0].Unit) { Share = 2 };
        })];

    /// <summary>Axis of a series among <see cref="Axes"/>.</summary>
    internal static string AxisOf(IReadOnlyList<DriftSeries> series, DriftSeries one) =>
        "y" + series.Select(s => s.Unit ?? s.Key.Tracker).Distinct(StringComparer.Ordinal).ToList().IndexOf(one.Unit ?? one.Key.Tracker);

    /// <summary>Name of a series in the legend: short where all are of one tracker.</summary>
    internal static string NameOf(IReadOnlyList<DriftSeries> series, DriftSeries one) =>
        series.All(s => s.Key.Tracker == one.Key.Tracker) && SeriesText.Suffix(one.Key) is { Length: > 2 } suffix ? suffix[2..] : SeriesText.Words(one.Key);

    /// <summary>Word of a state for the read-out; empty when normal.</summary>
    internal static string NoteOf(DriftPoint p) => p.State == TrackerState.Normal ? "" : p.State.ToString().ToLowerInvariant();
}
