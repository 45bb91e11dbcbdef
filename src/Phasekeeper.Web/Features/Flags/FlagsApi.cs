using System.ComponentModel;
using System.Text.Json;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>A flag in the list (contract.md section 4). It advises; it never replaces the mission's flight rules.</summary>
/// <param name="Id">Id.</param>
/// <param name="Rule">Rule that raised it.</param>
/// <param name="Subject">What it is about: a channel, a tracker, a stream.</param>
/// <param name="View">View; null where it does not apply.</param>
/// <param name="Line">Line; null where it does not apply.</param>
/// <param name="Severity">notice | warning | critical.</param>
/// <param name="State">raised | acknowledged | withdrawn.</param>
/// <param name="From">Start of the stretch.</param>
/// <param name="To">Its end so far.</param>
/// <param name="FirstOrbit">First orbit that it touches.</param>
/// <param name="LastOrbit">Last orbit that it touches.</param>
/// <param name="Value">The value that went furthest.</param>
/// <param name="Limit">The limit that it left.</param>
/// <param name="Unit">Unit of both.</param>
/// <param name="Message">One sentence.</param>
public sealed record FlagItem(
    string Id, string Rule, string Subject, string? View, string? Line, string Severity, string State, Instant From, Instant To, int? FirstOrbit, int? LastOrbit,
    double? Value, double? Limit, string Unit, string Message)
{
    /// <summary>The item of a stored flag.</summary>
    public static FlagItem Of(FlagRow row) => new(
        row.Id, row.Rule, row.Subject, row.View, row.Line, row.Severity, row.State, row.From, row.To, row.FirstOrbit, row.LastOrbit, row.Value, row.Limit, row.Unit, row.Message);
}

/// <summary>The body of a step.</summary>
/// <param name="Note">Why; shown in the flag's history.</param>
public sealed record FlagStepBody(string? Note);

/// <summary>Flags: list, detail and steps.</summary>
public static class FlagsApi
{
    /// <summary>Adds the calls.</summary>
    public static void MapFlags(this IEndpointRouteBuilder api)
    {
        var flags = api.MapGroup("/flags").WithTags("Flags");
        flags.MapGet("", (
            [AsParameters] ListQuery query,
            [FromQuery(Name = "state"), Description("raised, acknowledged or withdrawn. Default: all.")] string? state,
            [FromQuery(Name = "severity"), Description("notice, warning or critical. Default: all.")] string? severity,
            [FromQuery(Name = "rule"), Description("A rule's id. Default: all.")] string? rule, Stores stores) =>
        {
            var range = query.Read();
            var (inState, ofSeverity) = (WordParameter.Read<FlagState>("state", state), WordParameter.Read<FlagSeverity>("severity", severity));
            return stores.Flags.List(range.From, range.To, range.Limit, range.Next, inState is { } s ? ApiWords.Of(s) : null, ofSeverity is { } v ? ApiWords.Of(v) : null,
                string.IsNullOrEmpty(rule) ? null : rule).Answer(FlagItem.Of);
        }).WithName("getFlags").WithSummary("Flags that touch [from, to), withdrawn ones included, in the order of their start.");
        flags.MapGet("/{id}", (string id, FlagSteps steps) => Detail(id, steps)).WithName("getFlag")
            .Produces<FlagDetail>().ProducesProblem(StatusCodes.Status404NotFound).WithSummary("A flag with its evidence and history.");
        flags.MapPost("/{id}/{step}", StepAsync).RequireAuthorization(Roles.Operator).WithName("postFlagStep").Accepts<FlagStepBody>(isOptional: true, "application/json", "*/*")
            .Produces<FlagDetail>().ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Moves a flag on: step acknowledge, with an optional note.");
    }

    private static IResult Detail(string id, FlagSteps steps) =>
        steps.Find(id) is { } flag ? TypedResults.Json(FlagDetail.Of(flag, steps.History(id)), ApiJson.Options) : throw ApiProblems.NotFound("flag", id);

    private static async Task<IResult> StepAsync(string id, string step, HttpContext http, FlagSteps steps, ICurrentActor actor)
    {
        if (!FlagSteps.Known.Contains(step, StringComparer.Ordinal)) throw ApiProblems.BadRequest(ApiTexts.UnknownStep(step, FlagSteps.Known));
        var note = (await ReadBodyAsync(http.Request))?.Note;
        try
        {
            await steps.TakeAsync(id, step, await actor.GetAsync(), note, http.RequestAborted);
        }
        catch (KeyNotFoundException)
        {
            throw ApiProblems.NotFound("flag", id);
        }
        catch (InvalidOperationException e)
        {
            throw ApiProblems.Conflict(e.Message);
        }
        return Detail(id, steps);
    }

    private static async Task<FlagStepBody?> ReadBodyAsync(HttpRequest request)
    {
        using var text = new StreamReader(request.Body);
        var body = await text.ReadToEndAsync(request.HttpContext.RequestAborted);
        if (string.IsNullOrWhiteSpace(body)) return null;
        try
        {
            return JsonSerializer.Deserialize<FlagStepBody>(body, BodyOptions);
        }
        catch (JsonException e)
        {
            throw ApiProblems.BadRequest(ApiTexts.BadStepBody(e.Message));
        }
    }

    private static readonly JsonSerializerOptions BodyOptions = new(ApiJson.Options) { UnmappedMemberHandling = System.Text.Json.Serialization.JsonUnmappedMemberHandling.Disallow };
}
