using System.Globalization;
using Phasekeeper.Core.SignOff;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Days;

/// <summary>The body of a sign-off.</summary>
/// <param name="Verdict">usable, remarks or held.</param>
/// <param name="Ground">The ground of the day's sheet that you saw.</param>
/// <param name="Remark">In your words; needed where the verdict is other than the proposed one.</param>
public sealed record SignOffBody(string? Verdict, string? Ground, string? Remark = null);

/// <summary>The body of a hold or release.</summary>
/// <param name="Reason">Why.</param>
public sealed record HoldBody(string? Reason);

/// <summary>The body of a hand-over note.</summary>
/// <param name="Text">The note.</param>
/// <param name="Day">UTC day that it is about; absent = none in particular.</param>
public sealed record HandOverBody(string? Text, string? Day = null);

/// <summary>Days and their sign-off, held orbits, and notes from shift to shift.</summary>
public static class DaysApi
{
    // Chosen: a day is compared with what it was when it was signed off, which takes some hundredths of a second each.
    private const int MostDays = 31;
    private const int MostNotes = 100;

    /// <summary>Adds the calls.</summary>
    public static void MapDays(this IEndpointRouteBuilder api)
    {
        var days = api.MapGroup("/days").WithTags("Sign-off");
        days.MapGet("", List).WithName("getDays").WithSummary($"UTC days with orbits, oldest first, at most {MostDays} in one answer: what the system proposes and what people said. The proposal advises and decides nothing.");
        days.MapGet("/{date}", (string date, SignOffDesk desk, PipelineEngine engine, Stores stores) => Detail(Date(date), desk, engine, stores)).WithName("getDay").Produces<DayDetail>()
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status404NotFound).WithSummary("A day's sheet: the proposed verdict with reasons and numbers, what changed since the last sign-off, its orbits and sign-offs.");
        days.MapPost("/{date}/sign-off", SignAsync).RequireAuthorization(Roles.Operator).WithName("postDaySignOff").Accepts<SignOffBody>("application/json", "*/*").Produces<DayDetail>()
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Signs a day off. Refused (409) with what changed when the day is no longer the one of the ground that you name.");
        var orbits = api.MapGroup("/orbits").WithTags("Sign-off");
        orbits.MapPost("/{orbit}/hold", (string orbit, HttpContext http, SignOffDesk desk, ICurrentActor actor) => HoldAsync(orbit, true, http, desk, actor)).RequireAuthorization(Roles.Operator).WithName("postOrbitHold").Accepts<HoldBody>("application/json", "*/*").Produces<HoldItem>()
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict).WithSummary("Holds the winds of one orbit: they are marked in every output and left out of means. The winds themselves are not changed.");
        orbits.MapPost("/{orbit}/release", (string orbit, HttpContext http, SignOffDesk desk, ICurrentActor actor) => HoldAsync(orbit, false, http, desk, actor)).RequireAuthorization(Roles.Operator).WithName("postOrbitRelease").Accepts<HoldBody>("application/json", "*/*").Produces<HoldItem>()
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict).WithSummary("Lets a held orbit go. An orbit of a day that is signed off as held stays held with its day.");
        var notes = api.MapGroup("/hand-over").WithTags("Sign-off");
        notes.MapGet("", (Stores stores) =>
        {
            var rows = stores.HandOvers.Newest(MostNotes);
            var reads = stores.HandOvers.Reads([.. rows.Select(r => r.Id)]);
            return new ListResult<HandOverItem>([.. rows.Select(r => HandOverItem.Of(r, reads[r.Id]))], null);
        }).WithName("getHandOver").WithSummary($"Notes from shift to shift, the newest {MostNotes} first.");
        notes.MapPost("", async (HttpContext http, SignOffDesk desk, ICurrentActor actor) =>
        {
            var body = await JsonBody.ReadAsync<HandOverBody>(http, """{ "text": "Lamp test at 14:00; keep an eye on view F.", "day": "2031-05-09" }""");
            return await DoAsync(async () => HandOverItem.Of(await desk.HandOverAsync(string.IsNullOrEmpty(body.Day) ? null : Date(body.Day), body.Text, await actor.GetAsync(), http.RequestAborted), []));
        }).RequireAuthorization(Roles.Operator).WithName("postHandOver").Accepts<HandOverBody>("application/json", "*/*").Produces<HandOverItem>().ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Leaves a note for the next shift.");
        notes.MapPost("/{id}/read", async (string id, HttpContext http, SignOffDesk desk, ICurrentActor actor, Stores stores) =>
        {
            var number = long.TryParse(id, NumberStyles.None, CultureInfo.InvariantCulture, out var found) ? found : throw ApiProblems.BadRequest(ApiTexts.BadId("hand-over note", id));
            return await DoAsync(async () =>
            {
                await desk.ReadNoteAsync(number, await actor.GetAsync(), http.RequestAborted);
                return HandOverItem.Of(stores.HandOvers.Get(number)!, stores.HandOvers.Reads([number])[number]);
            });
        }).RequireAuthorization(Roles.Operator).WithName("postHandOverRead").Produces<HandOverItem>().ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Says that you have read a note.");
    }

    private static ListResult<DayItem> List([AsParameters] ListQuery query, SignOffDesk desk, PipelineEngine engine, Stores stores)
    {
        var range = query.Read();
        var mission = PlotMission.Of(engine);
        var after = range.Next is null ? (DateOnly?)null : DateOnly.TryParseExact(range.Next, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day) ? day : throw new ContinuationException(range.Next, "The continuation is no day of an earlier answer.");
        if (stores.Archive.LastPacketTime is not { } newest || stores.Orbits.First is not { } first || mission.Orbits.Of(first) is not { } begin) return new([], null);
        var from = range.From > begin.Start ? range.From.UtcDate : begin.Start.UtcDate;
        if (Instant.StartOf(from) < range.From && range.From > begin.Start) from = from.AddDays(1);
        if (after >= from) from = after.Value.AddDays(1);
        var items = new List<DayItem>();
        var most = Math.Min(range.Limit, MostDays);
        for (var date = from; date <= newest.UtcDate && Instant.StartOf(date) < range.To; date = date.AddDays(1))
        {
            if (items.Count == most) return new(items, items[^1].Date);
            if (desk.Read(mission, date) is { } sheet) items.Add(DayItem.Of(sheet));
        }
        return new(items, null);
    }

    private static IResult Detail(DateOnly date, SignOffDesk desk, PipelineEngine engine, Stores stores)
    {
        var sheet = desk.Read(PlotMission.Of(engine), date) ?? throw new ApiProblemException(StatusCodes.Status404NotFound, $"No orbit of this mission with data begins on {DayWords.Date(date)} (UTC). GET /api/v1/days lists the days.");
        return TypedResults.Json(DayDetail.Of(sheet, stores.SignOffs.OfDay(DayReader.DayNumber(date))), ApiJson.Options);
    }

    private static async Task<IResult> SignAsync(string date, HttpContext http, SignOffDesk desk, PipelineEngine engine, Stores stores, ICurrentActor actor)
    {
        const string example = """{ "verdict": "usable", "ground": "the ground of GET /api/v1/days/2031-05-09", "remark": "" }""";
        var (day, body) = (Date(date), await JsonBody.ReadAsync<SignOffBody>(http, example));
        var verdict = DayVerdicts.Parse(body.Verdict) ?? throw ApiProblems.BadRequest($"Found the verdict '{body.Verdict}'; expected one of {string.Join(", ", DayVerdicts.Words)}.");
        if (string.IsNullOrEmpty(body.Ground)) throw ApiProblems.BadRequest($"The ground is missing: it names what you saw, so that nobody signs what they have not seen. Expected JSON such as {example}.");
        await DoAsync(async () => await desk.SignAsync(PlotMission.Of(engine), day, new(verdict, body.Remark, body.Ground), await actor.GetAsync(), http.RequestAborted));
        return Detail(day, desk, engine, stores);
    }

    private static async Task<IResult> HoldAsync(string orbit, bool held, HttpContext http, SignOffDesk desk, ICurrentActor actor)
    {
        var number = int.TryParse(orbit, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var found) ? found : throw ApiProblems.BadRequest(ApiTexts.BadId("orbit", orbit));
        var body = await JsonBody.ReadAsync<HoldBody>(http, """{ "reason": "Winds jump by 40 m/s at the terminator." }""");
        return await DoAsync(async () =>
        {
            var row = await desk.HoldAsync(number, held, body.Reason, await actor.GetAsync(), http.RequestAborted);
            return new HoldItem(row.Orbit, row.Held, row.Reason, row.Actor, row.Time);
        });
    }

    private static async Task<IResult> DoAsync<T>(Func<Task<T>> work)
    {
        try
        {
            return TypedResults.Json(await work(), ApiJson.Options);
        }
        catch (KeyNotFoundException missing)
        {
            throw new ApiProblemException(StatusCodes.Status404NotFound, missing.Message);
        }
        catch (SignOffRefusedException refused)
        {
            throw ApiProblems.Conflict(refused.Message);
        }
    }

    private static DateOnly Date(string text) => DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date) && Pipeline.Exports.WindDay.Covers(date) ? date
        : throw ApiProblems.BadRequest($"Found the day '{text}'; expected a UTC day such as 2031-05-09.");
}
