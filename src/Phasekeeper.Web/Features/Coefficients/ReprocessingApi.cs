using System.Globalization;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>The body of a step of reprocessing.</summary>
/// <param name="Reason">Why.</param>
public sealed record ReasonBody(string? Reason)
{
    /// <summary>Without a reason.</summary>
    public ReasonBody() : this(Reason: null)
    {
    }
}

/// <summary>What decisions make again: progress, hold, resume, both versions of a day, and giving up the former.</summary>
public static class ReprocessingApi
{
    /// <summary>Adds the calls below /coefficients.</summary>
    public static void MapReprocessing(this RouteGroupBuilder coefficients)
    {
        var reprocessing = coefficients.MapGroup("/reprocessing");
        reprocessing.MapGet("", ([AsParameters] ListQuery query, Stores stores) => new CoefficientsQueries(stores).Reprocessing().AnswerPart(query.Read())).WithName("getReprocessing")
            .WithSummary("What decisions about coefficients make again, the newest first: orbits through, in work and waiting, and the time left at the measured pace.");
        Step(reprocessing, "/pause", "postReprocessingPause", "Holds reprocessing: orbits in work are finished, no other begins; also after a restart.", (control, body, actor, cancel) => control.PauseAsync(actor, body.Reason, cancel));
        Step(reprocessing, "/resume", "postReprocessingResume", "Lets reprocessing go on.", (control, body, actor, cancel) => control.ResumeAsync(actor, body.Reason, cancel));
        reprocessing.MapPost("/{decision}/retire", async (string decision, HttpRequest request, ReprocessingControl control, Stores stores, ICurrentActor actor, CancellationToken cancel) =>
        {
            var body = await CoefficientsApi.ReadAsync<ReasonBody>(request, cancel);
            await control.RetireAsync(Number(decision), await actor.GetAsync(), body.Reason, cancel);
            return new ListResult<ReprocessingItem>(new CoefficientsQueries(stores).Reprocessing(), null);
        }).RequireAuthorization(Roles.CalibrationLead).WithName("postReprocessingRetire").Accepts<ReasonBody>("application/json", "*/*").ProducesProblem(StatusCodes.Status403Forbidden).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Gives up the winds of before a decision, by a calibration lead with a reason, once all orbits are through.");
        reprocessing.MapGet("/{decision}/days", (string decision, Stores stores) => new ListResult<DayItem>([.. new FormerWindComparison(stores).Days(Number(decision)).Select(d => new DayItem(DayText(d)))], null))
            .WithName("getReprocessingDays").WithSummary("UTC days of which winds of before a decision are kept.");
        reprocessing.MapGet("/{decision}/comparison", (string decision, [FromQuery] string? day, [FromQuery] string? by, Stores stores) => Comparison(decision, day, by, stores)).WithName("getReprocessingComparison")
            .WithSummary("Line-of-sight winds of a UTC day now minus before a decision, m/s, by view and line; by = view, altitude (km) or latitude (deg).");
    }

    private static ListResult<WindChangeItem> Comparison(string decision, string? day, string? by, Stores stores)
    {
        if (by is { Length: > 0 } && !WindChangeGroups.Ways.Contains(by)) throw ApiProblems.BadRequest(ApiTexts.UnknownWord("by", by, WindChangeGroups.Ways));
        if (!DateOnly.TryParseExact(day, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date))
            throw ApiProblems.BadRequest($"Query parameter 'day': found '{day}'; expected a UTC day such as 2031-05-09.");
        return new([.. WindChangeGroups.Of(new FormerWindComparison(stores).Day(Number(decision), date).Changes, by is { Length: > 0 } ? by : WindChangeGroups.ByView).Select(WindChangeItem.Of)], null);
    }

    private static void Step(RouteGroupBuilder reprocessing, string path, string name, string summary, Func<ReprocessingControl, ReasonBody, Actor, CancellationToken, Task> step) =>
        reprocessing.MapPost(path, async (HttpRequest request, ReprocessingControl control, Stores stores, ICurrentActor actor, CancellationToken cancel) =>
        {
            await step(control, await CoefficientsApi.ReadAsync<ReasonBody>(request, cancel), await actor.GetAsync(), cancel);
            return new ListResult<ReprocessingItem>(new CoefficientsQueries(stores).Reprocessing(), null);
        }).RequireAuthorization(Roles.CalibrationLead).WithName(name).Accepts<ReasonBody>("application/json", "*/*").ProducesProblem(StatusCodes.Status403Forbidden).WithSummary(summary);

    private static long Number(string decision) => long.TryParse(decision, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? number : throw ApiProblems.BadRequest(ApiTexts.BadId("decision", decision));

    private static string DayText(DateOnly day) => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
}

/// <summary>A UTC day.</summary>
/// <param name="Day">yyyy-MM-dd.</param>
public sealed record DayItem(string Day);
