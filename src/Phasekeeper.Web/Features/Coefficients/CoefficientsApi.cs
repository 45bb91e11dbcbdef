using System.Globalization;
using System.Text.Json;
using System.Text.Json.Serialization;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Input;
using Phasekeeper.Core.Text;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>Coefficient sets, proposals and decisions. A proposal has the number of its set.</summary>
public static class CoefficientsApi
{
    private const string Kind = "coefficient set";
    private static readonly JsonSerializerOptions BodyOptions = new(ApiJson.Options) { UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow };

    /// <summary>Adds the calls.</summary>
    public static void MapCoefficients(this IEndpointRouteBuilder api)
    {
        var coefficients = api.MapGroup("/coefficients").WithTags("Coefficients").AddEndpointFilter(AnswerRefusals);
        coefficients.MapGet("", ([AsParameters] ListQuery query, Stores stores, PipelineEngine engine) => Part(new CoefficientsQueries(stores), s => s.Sets(engine.Mission), query)).WithName("getCoefficients")
            .WithSummary("All coefficient sets with provenance, evidence, decisions, and when each is in force.");
        coefficients.MapGet("/{id}", (string id, Stores stores) => TypedResults.Text(Row(id, stores).Json, "application/json")).WithName("getCoefficientSet")
            .Produces(StatusCodes.Status200OK, contentType: "application/json").ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("The numbers of a set as coefficients, the contract's JSON, and flats, its flat fields as CSV text: what POST proposals takes.");
        coefficients.MapGet("/{id}/export", (string id, Stores stores) => TypedResults.File(new CoefficientsQueries(stores).Zip(Head(id, stores).Id)!, "application/zip", $"coefficients-{id}.zip")).WithName("getCoefficientSetFiles")
            .ProducesProblem(StatusCodes.Status404NotFound).WithSummary("The set as files for a profile folder: a zip of coefficients.json and its flat fields.");
        coefficients.MapGet("/{id}/differences", (string id, [FromQuery] string? from, Stores stores, PipelineEngine engine) => Differences(from, id, stores, engine)).WithName("getCoefficientDifferences")
            .ProducesProblem(StatusCodes.Status404NotFound).WithSummary("What differs from the set 'from' to this one, number by number with units.");

        coefficients.MapGet("/proposals", ([AsParameters] ListQuery query, [FromQuery] string? state, Stores stores, PipelineEngine engine) => Part(new CoefficientsQueries(stores), _ => Proposals(state, stores, engine), query))
            .WithName("getCoefficientProposals").WithSummary("Sets that were proposed after the first one; state: proposed (undecided), approved, declined, withdrawn or reinstated. Default: all.");
        coefficients.MapGet("/proposals/{id}", (string id, Stores stores, PipelineEngine engine) => Detail(id, stores, engine)).WithName("getCoefficientProposal")
            .Produces<CoefficientSetItem>().ProducesProblem(StatusCodes.Status404NotFound).WithSummary("A proposal with its provenance, evidence and decisions.");
        coefficients.MapPost("/proposals", ProposeAsync).RequireAuthorization(Roles.Analyst).WithName("postCoefficientProposal").Accepts<JsonElement>("application/json", "*/*").Produces<CoefficientSetItem>(StatusCodes.Status201Created)
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status403Forbidden).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Proposes a set: the contract's JSON (reason as a query parameter); or { coefficients, flats, reason }; or { base, name, validFrom, changes: [{ number, view, line, index, value }], reason }.");
        // A proposal has the number of its set, so both addresses name the same.
        foreach (var (group, name) in new[] { ("", ""), ("/proposals", "OfProposal") })
        {
            Decision(coefficients, group, "approve", name, (desk, id, body, actor, cancel) => desk.ApproveAsync(id, body.ToRequest(), actor, cancel), "Puts a proposed set in force: by a calibration lead other than the proposer, with a reason, and with the number of the evidence that was seen where there is some.");
            Decision(coefficients, group, "decline", name, (desk, id, body, actor, cancel) => desk.DeclineAsync(id, body.Reason, body.Evidence, actor, cancel), "Declines a proposed set: by a calibration lead other than the proposer, with a reason, and with the number of the evidence that was seen where there is some.");
            Decision(coefficients, group, "reinstate", name, (desk, id, body, actor, cancel) => desk.ReinstateAsync(id, body.ToRequest(), actor, cancel), "Puts a set in force again that was approved once, with the set that was seen in force there (inPlaceOf): a new entry of the time line.");
            Decision(coefficients, group, "withdraw", name, (desk, id, body, actor, cancel) => desk.WithdrawAsync(id, body.Reason, body.Evidence, actor, cancel), "Takes back a proposal that nobody has decided about: by its proposer, with a reason.", Roles.Analyst);
        }
        coefficients.MapFits();
        coefficients.MapReprocessing();
    }

    private static void Decision(RouteGroupBuilder coefficients, string group, string step, string name, Func<CoefficientDesk, long, DecisionBody, Actor, CancellationToken, Task> decide, string summary, string needed = Roles.CalibrationLead) =>
        coefficients.MapPost($"{group}/{{id}}/{step}", async (string id, HttpRequest request, CoefficientDesk desk, Stores stores, PipelineEngine engine, ICurrentActor actor, CancellationToken cancel) =>
        {
            await decide(desk, Head(id, stores).Id, await ReadAsync<DecisionBody>(request, cancel), await actor.GetAsync(), cancel);
            return Detail(id, stores, engine);
        }).RequireAuthorization(needed).WithName($"post{char.ToUpperInvariant(step[0])}{step[1..]}CoefficientSet{name}").Accepts<DecisionBody>("application/json", "*/*").Produces<CoefficientSetItem>()
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status403Forbidden).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary(summary);

    /// <summary>A refusal is answered with what was found and what to do.</summary>
    internal static async ValueTask<object?> AnswerRefusals(EndpointFilterInvocationContext context, EndpointFilterDelegate next)
    {
        try
        {
            return await next(context);
        }
        catch (DecisionRefusedException refused)
        {
            throw new ApiProblemException(refused.Kind switch
            {
                RefusalKind.Missing => StatusCodes.Status404NotFound,
                RefusalKind.Forbidden => StatusCodes.Status403Forbidden,
                RefusalKind.Conflict => StatusCodes.Status409Conflict,
                _ => StatusCodes.Status400BadRequest,
            }, refused.ForCallers is { } more ? $"{refused.Message} {more}" : refused.Message);
        }
        catch (InputException mistakes)
        {
            throw ApiProblems.BadRequest(mistakes.Message);
        }
    }

    /// <summary>A JSON body; unknown keys are mistakes.</summary>
    internal static async Task<T> ReadAsync<T>(HttpRequest request, CancellationToken cancel)
        where T : new()
    {
        using var text = new StreamReader(request.Body);
        var body = await text.ReadToEndAsync(cancel);
        if (string.IsNullOrWhiteSpace(body)) return new();
        if (!WholeText.IsInJson(body)) throw ApiProblems.BadRequest($"The body holds {WholeText.Found}; expected {WholeText.Expected}.");
        try
        {
            return JsonSerializer.Deserialize<T>(body, BodyOptions) ?? new();
        }
        catch (JsonException e)
        {
            throw ApiProblems.BadRequest($"The body cannot be read: {e.Message} Expected a JSON object with {string.Join(", ", BodyOptions.GetTypeInfo(typeof(T)).Properties.Select(p => p.Name))}.");
        }
    }

    private static async Task<IResult> ProposeAsync(HttpRequest request, [FromQuery] string? reason, CoefficientDesk desk, Stores stores, MissionFolder folder, PipelineEngine engine, ICurrentActor actor, CancellationToken cancel)
    {
        using var text = new StreamReader(request.Body);
        var id = await desk.ProposeAsync(ProposalReader.Read(await text.ReadToEndAsync(cancel), reason, folder, stores.Coefficients), await actor.GetAsync(), cancel);
        return TypedResults.Json(new CoefficientsQueries(stores).One(id, engine.Mission)!, ApiJson.Options, statusCode: StatusCodes.Status201Created);
    }

    private static List<CoefficientSetItem> Proposals(string? state, Stores stores, PipelineEngine engine)
    {
        string[] states = [CoefficientDecision.Proposed, CoefficientDecision.Approved, CoefficientDecision.Declined, CoefficientDecision.Withdrawn, CoefficientDecision.Reinstated];
        if (state is { Length: > 0 } && !states.Contains(state)) throw ApiProblems.BadRequest(ApiTexts.UnknownWord("state", state, states));
        return [.. new CoefficientsQueries(stores).Sets(engine.Mission).Where(s => s.Source != CoefficientSource.Profile && (state is not { Length: > 0 } || s.State == state))];
    }

    /// <summary>The answer about one set.</summary>
    internal static IResult Detail(string id, Stores stores, PipelineEngine engine)
    {
        return TypedResults.Json(new CoefficientsQueries(stores).One(Head(id, stores).Id, engine.Mission)!, ApiJson.Options);
    }

    private static ListResult<CoefficientDifferenceItem> Differences(string? from, string id, Stores stores, PipelineEngine engine)
    {
        if (string.IsNullOrEmpty(from)) throw ApiProblems.BadRequest("Query parameter 'from': found nothing; expected the number of the set to compare with.");
        var mission = engine.Mission ?? throw ApiProblems.Conflict("The mission is being opened; try again in a moment.");
        IReadOnlyList<CoefficientDifference> differences = new CoefficientsQueries(stores).Differences(Head(from, stores).Id, Head(id, stores).Id, mission) ?? [];
        return new([.. differences.Select(CoefficientDifferenceItem.Of)], null);
    }

    // Documents of evidence are read of the rows that are answered, not of all.
    private static ListResult<CoefficientSetItem> Part(CoefficientsQueries queries, Func<CoefficientsQueries, IReadOnlyList<CoefficientSetItem>> sets, ListQuery query)
    {
        var part = sets(queries).AnswerPart(query.Read());
        return new([.. part.Items.Select(queries.WithEvidence)], part.Next);
    }

    /// <summary>The set that an address names, without its numbers.</summary>
    internal static CoefficientHead Head(string id, Stores stores) => stores.Coefficients.Head(Number(id)) ?? throw Missing(id, stores);

    private static CoefficientSetRow Row(string id, Stores stores) => stores.Coefficients.Get(Number(id)) ?? throw Missing(id, stores);

    private static long Number(string id) => long.TryParse(id, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? number : throw ApiProblems.BadRequest(ApiTexts.BadId(Kind, id));

    private static ApiProblemException Missing(string id, Stores stores) => ApiProblems.NotFound(Kind, id, stores.Coefficients.Names().Select(s => s.Id.ToString(CultureInfo.InvariantCulture)));
}
