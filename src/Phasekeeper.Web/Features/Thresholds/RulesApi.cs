using System.Globalization;
using System.Text.Json;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Thresholds;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Features.Coefficients;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Thresholds;

/// <summary>Body of a rehearsal: a rule as in rules.json, and the stretch (nothing = all history).</summary>
public sealed record RehearsalBody
{
    /// <summary>The rule as in rules.json.</summary>
    public JsonElement Rule { get; init; }
    /// <summary>The last days of mission time.</summary>
    public double? LastDays { get; init; }
    /// <summary>Start, ISO 8601 UTC.</summary>
    public string? From { get; init; }
    /// <summary>End, ISO 8601 UTC.</summary>
    public string? To { get; init; }
}

/// <summary>Body of a proposal.</summary>
public sealed record RuleProposalBody
{
    /// <summary>Number of a rehearsal that is done.</summary>
    public long? Rehearsal { get; init; }
    /// <summary>Why.</summary>
    public string? Reason { get; init; }
}

/// <summary>Body of a decision.</summary>
public sealed record RuleDecisionBody
{
    /// <summary>Why.</summary>
    public string? Reason { get; init; }
    /// <summary>First orbit that the new version judges; absent: the one after the newest with data.</summary>
    public int? FromOrbit { get; init; }
    /// <summary>Version that the decider saw in force.</summary>
    public long? InPlaceOf { get; init; }
    /// <summary>Rehearsal that the decider saw.</summary>
    public long? Evidence { get; init; }
}

/// <summary>Body of a known event.</summary>
public sealed record KnownEventBody
{
    /// <summary>Rule that should find it.</summary>
    public string? Rule { get; init; }
    /// <summary>Start, ISO 8601 UTC.</summary>
    public string? From { get; init; }
    /// <summary>End, ISO 8601 UTC.</summary>
    public string? To { get; init; }
    /// <summary>What happened.</summary>
    public string? What { get; init; }
    /// <summary>How it is known.</summary>
    public string? Note { get; init; }
}

/// <summary>Body of a withdrawal.</summary>
public sealed record ReasonBody
{
    /// <summary>Why.</summary>
    public string? Reason { get; init; }
}

/// <summary>Rules: versions, rehearsals, proposals, decisions, known events.</summary>
public static class RulesApi
{
    /// <summary>Adds the calls.</summary>
    public static void MapRules(this IEndpointRouteBuilder api)
    {
        var rules = api.MapGroup("/rules").WithTags("Rules").AddEndpointFilter(CoefficientsApi.AnswerRefusals);
        rules.MapGet("", ([AsParameters] ListQuery query, Stores stores, PipelineEngine engine) => new RuleQueries(stores).Rules(engine.Mission ?? throw ApiProblems.Conflict("The mission is being opened; try again in a moment.")).AnswerPart(query.Read()))
            .WithName("getRules").WithSummary("The flag rules in force: what each watches, limits, version, and its flags of the last 30 days of mission time.");
        rules.MapGet("/versions", ([AsParameters] ListQuery query, Stores stores) => new RuleQueries(stores).Versions().AnswerPart(query.Read())).WithName("getRuleVersions").WithSummary("All versions of the rules, and from which orbit each judges.");
        rules.MapGet("/versions/{id}", (string id, Stores stores) => TypedResults.Text((stores.Rules.Versions().FirstOrDefault(v => v.Id == Number("version of the rules", id)) ?? throw ApiProblems.NotFound("version of the rules", id)).Rules, "application/json"))
            .WithName("getRuleVersion").Produces(StatusCodes.Status200OK, contentType: "application/json").ProducesProblem(StatusCodes.Status404NotFound).WithSummary("A version of the rules as rules.json.");
        rules.MapGet("/rehearsals/{id}", (string id, Rehearsals rehearsals) => TypedResults.Json(RehearsalItem.Of(rehearsals.Find(Number("rehearsal", id)) ?? throw ApiProblems.NotFound("rehearsal", id)), ApiJson.Options))
            .WithName("getRuleRehearsal").Produces<RehearsalItem>().ProducesProblem(StatusCodes.Status404NotFound).WithSummary("How far a rehearsal is, and what it showed.");
        rules.MapPost("/rehearsals", async (HttpRequest request, Rehearsals rehearsals, ICurrentActor actor, CancellationToken cancel) =>
        {
            var body = await CoefficientsApi.ReadAsync<RehearsalBody>(request, cancel);
            var run = await rehearsals.StartAsync(RuleEdit.Read(body.Rule), new(body.LastDays, TimeParameter.Read("from", body.From), TimeParameter.Read("to", body.To)), await actor.GetAsync(), cancel);
            return TypedResults.Json(RehearsalItem.Of(run), ApiJson.Options, statusCode: StatusCodes.Status202Accepted);
        }).RequireAuthorization(Roles.Analyst).WithName("postRuleRehearsal").Accepts<RehearsalBody>("application/json", "*/*").Produces<RehearsalItem>(StatusCodes.Status202Accepted)
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status403Forbidden).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Replays a rule (as in rules.json) over stored history, in the background: the flags that it would have raised beside those that were and the events that the team has confirmed. Changes nothing.");
        rules.MapGet("/proposals", ([AsParameters] ListQuery query, [FromQuery] string? state, Stores stores) => Proposals(state, stores).AnswerPart(query.Read()))
            .WithName("getRuleProposals").WithSummary("Proposed changes of the rules; state: proposed (undecided), approved, declined or withdrawn. Default: all.");
        rules.MapGet("/proposals/{id}", (string id, Stores stores) => Detail(Number("proposal", id), stores)).WithName("getRuleProposal").Produces<RuleProposalItem>().ProducesProblem(StatusCodes.Status404NotFound).WithSummary("A proposed change of the rules, and what was decided.");
        rules.MapGet("/proposals/{id}/evidence", (string id, Stores stores) => TypedResults.Text((stores.Rules.Get(Number("proposal", id))?.Evidence is { } e ? stores.Rules.Evidence(e)!.Document : null) ?? throw ApiProblems.NotFound("rehearsal of the proposal", id), "application/json"))
            .WithName("getRuleEvidence").Produces<RehearsalReport>().ProducesProblem(StatusCodes.Status404NotFound).WithSummary("The rehearsal that was proposed with.");
        rules.MapPost("/proposals", async (HttpRequest request, RuleDesk desk, Stores stores, ICurrentActor actor, CancellationToken cancel) =>
        {
            var body = await CoefficientsApi.ReadAsync<RuleProposalBody>(request, cancel);
            var id = await desk.ProposeAsync(body.Rehearsal ?? throw ApiProblems.BadRequest("rehearsal: found nothing; expected the number of a rehearsal that is done: a rule is proposed with what it would have said."), body.Reason, await actor.GetAsync(), cancel);
            return TypedResults.Json(new RuleQueries(stores).Proposal(id)!, ApiJson.Options, statusCode: StatusCodes.Status201Created);
        }).RequireAuthorization(Roles.Analyst).WithName("postRuleProposal").Accepts<RuleProposalBody>("application/json", "*/*").Produces<RuleProposalItem>(StatusCodes.Status201Created)
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status403Forbidden).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Proposes a rule just as it was rehearsed, with a reason.");
        Decision(rules, "approve", Roles.CalibrationLead, (desk, id, body, actor, cancel) => desk.ApproveAsync(id, new() { Reason = body.Reason, FromOrbit = body.FromOrbit, InPlaceOf = body.InPlaceOf, Evidence = body.Evidence }, actor, cancel),
            "Puts a proposed change in force from an orbit on: by a calibration lead other than the proposer, with a reason.");
        Decision(rules, "decline", Roles.CalibrationLead, (desk, id, body, actor, cancel) => desk.DeclineAsync(id, body.Reason, actor, cancel), "Declines a proposed change: by a calibration lead other than the proposer, with a reason.");
        Decision(rules, "withdraw", Roles.Analyst, (desk, id, body, actor, cancel) => desk.WithdrawAsync(id, body.Reason, actor, cancel), "Takes a proposed change back: by its proposer, with a reason.");
        MapEvents(rules);
    }

    private static void MapEvents(RouteGroupBuilder rules)
    {
        rules.MapGet("/events", ([AsParameters] ListQuery query, [FromQuery] string? rule, Stores stores) =>
        {
            var range = query.Read();
            return stores.KnownEvents.List(string.IsNullOrEmpty(rule) ? null : rule, range.From, range.To).AnswerPart(range);
        }).WithName("getKnownEvents").WithSummary("Events that people noted by hand, with the rule that should find each. Flags that were settled with a cause count as confirmed events too.");
        rules.MapPost("/events", async (HttpRequest request, KnownEvents events, Stores stores, ICurrentActor actor, CancellationToken cancel) =>
        {
            var body = await CoefficientsApi.ReadAsync<KnownEventBody>(request, cancel);
            var id = await events.NoteAsync(new(body.Rule, TimeParameter.Read("from", body.From), TimeParameter.Read("to", body.To), body.What, body.Note), await actor.GetAsync(), cancel);
            return TypedResults.Json(stores.KnownEvents.List(body.Rule, Instant.MinValue, Instant.MaxValue).First(e => e.Id == id), ApiJson.Options, statusCode: StatusCodes.Status201Created);
        }).RequireAuthorization(Roles.Analyst).WithName("postKnownEvent").Accepts<KnownEventBody>("application/json", "*/*").Produces<KnownEventRow>(StatusCodes.Status201Created)
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status403Forbidden).WithSummary("Notes an event: time range, what happened, and the rule that should find it.");
        rules.MapPost("/events/{id}/withdraw", async (string id, HttpRequest request, KnownEvents events, ICurrentActor actor, CancellationToken cancel) =>
        {
            var body = await CoefficientsApi.ReadAsync<ReasonBody>(request, cancel);
            await events.WithdrawAsync(Number("known event", id), body.Reason, await actor.GetAsync(), cancel);
            return TypedResults.NoContent();
        }).RequireAuthorization(Roles.Analyst).WithName("postWithdrawKnownEvent").Accepts<ReasonBody>("application/json", "*/*").Produces(StatusCodes.Status204NoContent)
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status403Forbidden).ProducesProblem(StatusCodes.Status404NotFound).WithSummary("Withdraws an event that was noted wrongly, with a reason; it stays on record.");
    }

    private static void Decision(RouteGroupBuilder rules, string step, string needed, Func<RuleDesk, long, RuleDecisionBody, Actor, CancellationToken, Task> decide, string summary) =>
        rules.MapPost($"/proposals/{{id}}/{step}", async (string id, HttpRequest request, RuleDesk desk, Stores stores, ICurrentActor actor, CancellationToken cancel) =>
        {
            var number = Number("proposal", id);
            await decide(desk, number, await CoefficientsApi.ReadAsync<RuleDecisionBody>(request, cancel), await actor.GetAsync(), cancel);
            return Detail(number, stores);
        }).RequireAuthorization(needed).WithName($"post{char.ToUpperInvariant(step[0])}{step[1..]}RuleProposal").Accepts<RuleDecisionBody>("application/json", "*/*").Produces<RuleProposalItem>()
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status403Forbidden).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict).WithSummary(summary);

    private static IReadOnlyList<RuleProposalItem> Proposals(string? state, Stores stores)
    {
        if (state is { Length: > 0 } && !RuleWords.States.Contains(state)) throw ApiProblems.BadRequest(ApiTexts.UnknownWord("state", state, RuleWords.States));
        return [.. new RuleQueries(stores).Proposals().Where(p => state is not { Length: > 0 } || p.State == state)];
    }

    private static IResult Detail(long id, Stores stores) => TypedResults.Json(new RuleQueries(stores).Proposal(id) ?? throw ApiProblems.NotFound("proposal", id.ToString(CultureInfo.InvariantCulture)), ApiJson.Options);

    private static long Number(string kind, string id) => long.TryParse(id, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? number : throw ApiProblems.BadRequest(ApiTexts.BadId(kind, id));
}
