using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Shared.Numbers;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Data;

/// <summary>
/// What arrived, as a matrix: one row an application process, one column a stretch of whole hours; colour = packets relative to what is
/// usual for that process (its median over the hours in which it sent anything). Above it the share of expected rows of each orbit.
/// </summary>
public static class CompletenessPlot
{
    private const int PixelsPerColumn = 3;

    /// <summary>Adds the route.</summary>
    public static void MapDataPlots(this IEndpointRouteBuilder plots) => plots.MapGet("/completeness", (string? span, [AsParameters] PlotQuery query, Stores stores, PipelineEngine engine) =>
        TypedResults.Json(Of(DataSpans.SecondsOf(span ?? DataSpans.Default), query.Read(), stores, PlotMission.Of(engine)), ApiJson.Options));

    /// <summary>The plot of a range; without one, of a span that ends at mission time.</summary>
    private static PlotDocument Of(double spanS, PlotRange range, Stores stores, MissionState mission)
    {
        var to = range.To ?? stores.Archive.LastPacketTime?.AddSeconds(1) ?? mission.Profile.SpanStart;
        var from = range.From ?? (double.IsFinite(spanS) ? to.AddSeconds(-spanS) : stores.Archive.FirstPacketTime ?? to);
        // Before the first packet nothing was to arrive.
        if (stores.Archive.FirstPacketTime is { } first && first > from) from = first < to ? first : to;
        var coverage = stores.Streams.Coverage(from, to);
        var orbits = stores.Orbits.Touching(from, to).Where(orbit => orbit.ExpectedRows > 0).ToList();
        var apids = coverage.Select(row => row.Apid).Distinct().Order().ToList();
        var axes = new List<PlotAxis>();
        var traces = new List<PlotTrace>();
        if (orbits.Count > 0)
        {
            axes.Add(new PlotAxis("rows", "Fringe rows", "%") { Min = 0, Max = 125 });
            traces.Add(new PlotTrace
            {
                Name = "received of expected",
                Kind = PlotTraceKind.Steps,
                Axis = "rows",
                X = [.. orbits.SelectMany(orbit => new[] { PlotTime.Of(orbit.Start), PlotTime.Of(orbit.End) - 1 })],
                Y = [.. orbits.SelectMany(orbit => Enumerable.Repeat(100.0 * Math.Min(1, orbit.ReceivedRows / (double)orbit.ExpectedRows), 2))],
                Orbit = [.. orbits.SelectMany(orbit => Enumerable.Repeat(orbit.Orbit, 2))],
            });
        }
        if (apids.Count > 0)
        {
            var hours = Math.Max(1, (int)Math.Ceiling((Hour.Of(to) - Hour.Of(from) + 1) * PixelsPerColumn / (double)range.Columns));
            axes.Add(new PlotAxis("apid", "APID", null) { Share = Math.Max(1, apids.Count / 4.0), Ticks = [.. apids.Select((apid, i) => new PlotTick(i, $"{apid}"))], Reversed = true });
            traces.Add(Matrix(coverage, apids, Hour.Of(from), Hour.Of(to), hours));
        }
        var lacking = orbits.Count(orbit => !OrbitVerdict.IsComplete(orbit));
        return new PlotDocument
        {
            Title = "What arrived",
            Summary = coverage.Count == 0 ? "" : $"{NumberText.Whole(coverage.Sum(row => row.Count))} packets of {apids.Count} application processes"
                + (orbits.Count > 0 ? $"; {orbits.Count - lacking} of {orbits.Count} orbits complete (at least 95 % of their rows)." : "."),
            X = PlotAxis.UtcTime(from, to),
            Y = axes,
            Traces = traces,
            Bands = [.. MissionMarks.Activities(mission, from, to)],
            EmptyText = "No packet lies in this range.",
        };
    }

    private static PlotTrace Matrix(IReadOnlyList<CoverageRow> coverage, List<int> apids, long firstHour, long lastHour, int hoursPerColumn)
    {
        var columns = (int)((lastHour - firstHour) / hoursPerColumn) + 1;
        var z = apids.Select(_ => new double[columns]).ToArray();
        for (var a = 0; a < apids.Count; a++)
        {
            var own = coverage.Where(row => row.Apid == apids[a]).ToList();
            var counts = own.Select(row => row.Count).Order().ToList();
            var usual = Math.Max(1, counts[counts.Count / 2]);
            foreach (var row in own)
                z[a][(int)((Math.Clamp(row.Hour, firstHour, lastHour) - firstHour) / hoursPerColumn)] += 100.0 * row.Count / usual / hoursPerColumn;
        }
        return new PlotTrace
        {
            Name = "packets",
            Kind = PlotTraceKind.Heat,
            Axis = "apid",
            // Middle of each column, so that a cell lies over its own hours.
            X = [.. Enumerable.Range(0, columns).Select(i => PlotTime.Of(Hour.Start(firstHour + i * hoursPerColumn).AddSeconds(hoursPerColumn * 1800.0)))],
            Y = [.. Enumerable.Range(0, apids.Count).Select(i => (double)i)],
            Z = z,
            Scale = new PlotColourScale("Packets, of usual", "%", Min: 0, Max: 100),
        };
    }
}
