using System.Globalization;
using Microsoft.AspNetCore.Http.HttpResults;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Features.Days;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>The plots of winds.</summary>
public static class WindPlots
{
    /// <summary>Maps the endpoints.</summary>
    public static void MapWindPlots(this IEndpointRouteBuilder plots)
    {
        var winds = plots.MapGroup("/winds");
        winds.MapGet("/day", (string date, string? show, WindCache cache, Stores stores, PipelineEngine engine) =>
            With(engine, (mission, instrument) => WindPanels.Day(cache.OfDay(mission, Date(date)), instrument, Date(date), Layer(show), null, stores.Holds.Held())));
        winds.MapGet("/orbit/{number:int}", (int number, string? show, double? limit, double? minute, WindCache cache, Stores stores, PipelineEngine engine) =>
            With(engine, (mission, instrument) => WindPanels.Orbit(Orbit(number, mission, cache), instrument, Layer(show), limit, minute, stores.Holds.Held())));
        winds.MapGet("/profile/{number:int}", (int number, double minute, WindCache cache, Stores stores, PipelineEngine engine) =>
            With(engine, (mission, instrument) => WindProfilePlot.Document(Orbit(number, mission, cache), instrument, minute).Marked(stores, [number])));
        winds.MapGet("/map", (string date, int? orbit, string line, string? component, double altitude, double? limit, WindCache cache, Stores stores, PipelineEngine engine) =>
            With(engine, (mission, _) => Map(Date(date), orbit, line, component, altitude, limit, cache, mission).Marked(stores, [.. orbit is { } one ? [one] : cache.OfDay(mission, Date(date)).Select(o => o.Slot.Number)])));
    }

    private static PlotDocument Map(DateOnly date, int? number, string line, string? component, double altitudeKm, double? limit, WindCache cache, MissionState mission)
    {
        var day = cache.OfDay(mission, date);
        OrbitWinds[] shown = [.. number is { } n ? [Orbit(n, mission, cache)] : day];
        var at = shown.Length > 0 && number is not null ? shown[0].Slot.Start.AddSeconds((shown[0].Slot.End - shown[0].Slot.Start) / 2) : Instant.StartOf(date).AddSeconds(43_200);
        return WindMap.Document(shown, line, component != "northward", altitudeKm, limit ?? WindScale.LimitOf(WindScale.Counting(day.SelectMany(o => o.Vectors))), at);
    }

    private static Ok<PlotDocument> With(PipelineEngine engine, Func<MissionState, Core.Instrument.InstrumentModel, PlotDocument> make)
    {
        var mission = PlotMission.Of(engine);
        return TypedResults.Ok(make(mission, mission.Instrument ?? throw ApiProblems.BadRequest("This mission has no instrument, so it has no winds.")));
    }

    private static OrbitWinds Orbit(int number, MissionState mission, WindCache cache) =>
        cache.OfOrbit(mission, number) ?? throw ApiProblems.NotFound("orbit", number.ToString(CultureInfo.InvariantCulture));

    private static WindLayer Layer(string? show) => show == "sigma" ? WindLayer.Sigma : WindLayer.Wind;

    private static DateOnly Date(string text) => DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date) ? date
        : throw ApiProblems.BadRequest($"Query parameter 'date': found '{text}'; expected a UTC day such as 2031-05-09.");
}
