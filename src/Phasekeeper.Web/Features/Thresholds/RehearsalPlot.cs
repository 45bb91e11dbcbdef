using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Thresholds;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Thresholds;

/// <summary>A rehearsal as a strip in time: what the rule would have raised, what was raised, and what the team has confirmed.</summary>
public static class RehearsalPlot
{
    private const double Would = 3, Did = 2, Confirmed = 1;

    /// <summary>Adds the routes.</summary>
    public static void MapRulePlots(this IEndpointRouteBuilder plots)
    {
        plots.MapGet("/rules/rehearsals/{id}", (string id, [AsParameters] PlotQuery query, Rehearsals rehearsals) =>
            TypedResults.Json(Of((Number(id) is { } n ? rehearsals.Find(n)?.Report : null) ?? throw ApiProblems.NotFound("finished rehearsal", id), query.Read()), ApiJson.Options));
        plots.MapGet("/rules/proposals/{id}", (string id, [AsParameters] PlotQuery query, Stores stores) =>
            TypedResults.Json(Of((Number(id) is { } n && stores.Rules.Get(n)?.Evidence is { } e ? RehearsalReport.Read(stores.Rules.Evidence(e)!.Document) : null) ?? throw ApiProblems.NotFound("rehearsal of the proposal", id), query.Read()), ApiJson.Options));
    }

    /// <summary>The plot of a report.</summary>
    public static PlotDocument Of(RehearsalReport report, PlotRange range)
    {
        ArgumentNullException.ThrowIfNull(report);
        var from = range.From ?? Time(report.From);
        var to = range.To ?? Time(report.To);
        return new()
        {
            Title = $"Rehearsal of {report.Rule}",
            Summary = $"Orbits {report.FirstOrbit} to {report.LastOrbit}: {report.WouldCounts.Flags} flags would have been raised, {report.DidCounts.Flags} were. Of {report.WouldCounts.Found + report.WouldCounts.Missed} confirmed events the rule finds {report.WouldCounts.Found}; {report.WouldCounts.False} of its flags would be false.",
            X = PlotAxis.UtcTime(from, to),
            Y = [new PlotAxis("y", "", null) { Min = 0.4, Max = 3.6, Ticks = [new(Would, "would raise"), new(Did, "did raise"), new(Confirmed, "confirmed")] }],
            Traces =
            [
                .. new[] { ("true", 1), ("unknown", 2), ("false", 3) }.SelectMany(t => new[] { Strip($"would raise: {t.Item1}", t.Item2, Would, report.Would.Where(f => f.Truth == t.Item1).Select(f => (f.From, f.To, f.About))), Strip($"did raise: {t.Item1}", t.Item2, Did, report.Did.Where(f => f.Truth == t.Item1).Select(f => (f.From, f.To, f.About))) }).OfType<PlotTrace>(),
                .. new[]
                {
                    Strip("event, found", 1, Confirmed, report.Events.Where(e => e.Real && e.FoundByProposed).Select(e => (e.From, e.To, e.What))),
                    Strip("event, missed", 4, Confirmed, report.Events.Where(e => e.Real && !e.FoundByProposed).Select(e => (e.From, e.To, e.What))),
                    Strip("called a false alarm", 3, Confirmed, report.Events.Where(e => !e.Real).Select(e => (e.From, e.To, e.What))),
                }.OfType<PlotTrace>(),
            ],
            EmptyText = "No flag would have been raised, none was, and nothing is confirmed in this stretch.",
        };
    }

    // Points at both ends, so that a short one is seen too in a strip of years.
    private static PlotTrace? Strip(string name, int colour, double row, IEnumerable<(string From, string To, string About)> stretches)
    {
        var (x, y, notes) = (new List<double>(), new List<double>(), new List<string>());
        foreach (var (from, to, about) in stretches)
            foreach (var at in new[] { from, to })
            {
                if (Time(at) is not { } time) continue;
                x.Add(PlotTime.Of(time));
                y.Add(row);
                notes.Add(about);
            }
        return x.Count == 0 ? null : new() { Name = name, Kind = PlotTraceKind.Points, Axis = "y", X = x, Y = y, Note = notes, Colour = colour, Open = name.Contains("false", StringComparison.Ordinal) || name.Contains("missed", StringComparison.Ordinal) };
    }

    private static Instant? Time(string text) => Instant.TryParseUtc(text, out var time) ? time : null;

    private static long? Number(string id) => long.TryParse(id, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? number : null;
}
