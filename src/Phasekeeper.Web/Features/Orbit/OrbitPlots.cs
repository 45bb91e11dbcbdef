using Microsoft.AspNetCore.Http.HttpResults;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Orbit;

/// <summary>The plots of one orbit.</summary>
public static class OrbitPlots
{
    /// <summary>Maps the endpoints.</summary>
    public static void MapOrbitPlots(this IEndpointRouteBuilder plots)
    {
        var orbit = plots.MapGroup("/orbit/{number:int}");
        orbit.MapGet("/temperatures", (int number, string? view, string? line, [AsParameters] PlotQuery query, OrbitCache cache, PipelineEngine engine) =>
            Draw(number, query, cache, engine, (o, window) => OrbitTemperatures.Document(o, window, view, line)));
        orbit.MapGet("/phase", (int number, string? view, string? line, [AsParameters] PlotQuery query, OrbitCache cache, PipelineEngine engine) =>
            Draw(number, query, cache, engine, (o, window) => OrbitPhase.Document(o, window, view, line)));
        orbit.MapGet("/shift", (int number, string? view, [AsParameters] PlotQuery query, OrbitCache cache, PipelineEngine engine) =>
            Draw(number, query, cache, engine, (o, window) => OrbitShift.Document(o, window, view)));
        orbit.MapGet("/visibility", (int number, string? view, string? line, string? kind, [AsParameters] PlotQuery query, OrbitCache cache, PipelineEngine engine) =>
            Draw(number, query, cache, engine, (o, window) => OrbitVisibility.Document(o, window, view, line, Kind(kind))));
        orbit.MapGet("/spikes", (int number, [AsParameters] PlotQuery query, OrbitCache cache, PipelineEngine engine) =>
            Draw(number, query, cache, engine, (o, _) => OrbitSpikes.Document(o)));
        orbit.MapGet("/image", (int number, long exposure, string? kind, string view, string line, OrbitCache cache, PipelineEngine engine, FringeImages images) =>
            Exposure(number, exposure, kind, view, line, cache, engine, (o, result) => FringeImagePlot.Document(images.Read(result, o.Mission), result)));
        orbit.MapGet("/row", (int number, long exposure, string? kind, string view, string line, int row, OrbitCache cache, PipelineEngine engine, FringeImages images) =>
            Exposure(number, exposure, kind, view, line, cache, engine, (o, result) => Row(o, result, row, images)));
    }

    private static Ok<PlotDocument> Draw(int number, PlotQuery query, OrbitCache cache, PipelineEngine engine, Func<OrbitContents, PlotWindow, PlotDocument> make)
    {
        var asked = query.Read();
        var orbit = Of(number, cache, engine);
        lock (orbit.Gate)
            return TypedResults.Ok(make(orbit, new PlotWindow(asked.From ?? orbit.Slot.Start, asked.To ?? orbit.Slot.End, asked.Columns)));
    }

    private static Ok<PlotDocument> Exposure(int number, long exposure, string? kind, string view, string line, OrbitCache cache, PipelineEngine engine, Func<OrbitContents, FringeResult, PlotDocument> make)
    {
        var orbit = Of(number, cache, engine);
        var result = orbit.Result(exposure, Kind(kind), view, line)
            ?? throw ApiProblems.NotFound("exposure", $"{kind ?? "scene"} {exposure}, view {view}, {line}, on orbit {number}");
        return TypedResults.Ok(make(orbit, result));
    }

    private static PlotDocument Row(OrbitContents orbit, FringeResult result, int row, FringeImages images)
    {
        if (row < 0 || row >= result.Status.Length) throw ApiProblems.BadRequest($"Query parameter 'row': found {row}; expected 0 to {result.Status.Length - 1}.");
        var frame = images.Read(result, orbit.Mission);
        return FringeRowPlot.Document(frame is null ? null : images.Fit(frame, row, orbit.Mission), result, row);
    }

    private static ExposureKind Kind(string? text) => WordParameter.Read<ExposureKind>("kind", text) ?? ExposureKind.Scene;

    private static OrbitContents Of(int number, OrbitCache cache, PipelineEngine engine)
    {
        _ = PlotMission.Of(engine);
        return cache.Get(number) ?? throw ApiProblems.NotFound("orbit", number.ToString(System.Globalization.CultureInfo.InvariantCulture));
    }
}

/// <summary>The visible stretch of a plot and its width in columns.</summary>
internal readonly record struct PlotWindow(Instant From, Instant To, int Columns)
{
    /// <summary>True for a moment inside.</summary>
    public bool Contains(Instant time) => time >= From && time <= To;

    /// <summary>The orbit's shadow as bands.</summary>
    public IReadOnlyList<PlotBand> Shadows(OrbitContents orbit)
    {
        var (from, to) = (From, To);
        return [.. (orbit.Sky?.Shadows ?? []).Where(s => s.End > from && s.Start < to).Select(s => new PlotBand(PlotTime.Of(s.Start), PlotTime.Of(s.End), PlotBandKind.Shadow, "Earth's shadow"))];
    }

    /// <summary>Moments at equal steps, at most so many.</summary>
    public IEnumerable<Instant> Steps(int most)
    {
        var step = (To - From) / most;
        for (var i = 0; i <= most; i++) yield return From.AddSeconds(i * step);
    }
}
