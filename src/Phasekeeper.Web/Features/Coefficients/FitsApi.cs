using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>Fits on a window of orbits, to look at or to propose, and the evidence of proposals.</summary>
public static class FitsApi
{
    /// <summary>Adds the calls below /coefficients.</summary>
    public static void MapFits(this RouteGroupBuilder coefficients)
    {
        coefficients.MapPost("/fits", async (HttpRequest request, FitDesk fits, CancellationToken cancel) =>
                TypedResults.Json(FitTrialItem.Of(await fits.TryAsync((await CoefficientsApi.ReadAsync<FitBody>(request, cancel)).ToRequest(), cancel)), ApiJson.Options))
            .RequireAuthorization(Roles.Analyst).WithName("postCoefficientFit").Accepts<FitBody>("application/json", "*/*").Produces<FitTrialItem>()
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status403Forbidden).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Fits parts of the set in force on a window of orbits, and stores nothing: numbers with σ, warnings, residuals on orbits fitted, held out between them and held out after them. Takes up to a minute.");
        coefficients.MapPost("/fits/proposals", ProposeAsync).RequireAuthorization(Roles.Analyst).WithName("postCoefficientFitProposal").Accepts<FitProposalBody>("application/json", "*/*").Produces<CoefficientSetItem>(StatusCodes.Status201Created)
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status403Forbidden).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Proposes a fit that POST fits answered (trial), with just its numbers: refused where what it rests on has moved since. Without trial it fits now and proposes what comes out. Evidence follows in the background.");
        coefficients.MapGet("/proposals/{id}/evidence", (string id, Stores stores, CoefficientDesk desk, EvidenceBoard board) => TypedResults.Json(Evidence(CoefficientsApi.Head(id, stores), stores, desk, board), ApiJson.Options))
            .WithName("getCoefficientEvidence").Produces<EvidenceItem>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("What a proposed set would change, computed from the archive: residuals on orbits fitted, held out between them and after them, with the measurements that either set has, winds, flags, orbits and days to be made again, warnings; whether what it rests on has moved since; and how far a computation is.");
        coefficients.MapPost("/proposals/{id}/evidence", async (string id, HttpRequest request, EvidenceDesk evidence, CoefficientDesk desk, EvidenceBoard board, Stores stores, ICurrentActor actor, CancellationToken cancel) =>
        {
            var set = CoefficientsApi.Head(id, stores);
            var body = await CoefficientsApi.ReadAsync<EvidenceBody>(request, cancel);
            await evidence.AskAsync(set.Id, await actor.GetAsync(), body.FromOrbit is { } orbit ? new(orbit) : null, cancel);
            return TypedResults.Json(Evidence(set, stores, desk, board), ApiJson.Options, statusCode: StatusCodes.Status202Accepted);
        }).RequireAuthorization(Roles.Analyst).WithName("postCoefficientEvidence").Accepts<EvidenceBody>("application/json", "*/*").Produces<EvidenceItem>(StatusCodes.Status202Accepted)
            .ProducesProblem(StatusCodes.Status403Forbidden).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict)
            .ProducesProblem(StatusCodes.Status400BadRequest).WithSummary("Lets the evidence of an undecided proposal be computed again, in the background; for another start too.");
    }

    private static async Task<IResult> ProposeAsync(HttpRequest request, FitDesk fits, Stores stores, PipelineEngine engine, ICurrentActor actor, CancellationToken cancel)
    {
        var body = await CoefficientsApi.ReadAsync<FitProposalBody>(request, cancel);
        var (name, reason, by) = (body.Name ?? "", body.Reason ?? "", await actor.GetAsync());
        var id = body.Trial is { } tried
            ? await fits.ProposeTriedAsync(fits.Tried(tried) ?? throw new DecisionRefusedException(RefusalKind.Missing, $"$.trial: found '{tried}', which is not kept (any more); expected the trial of one of the last dozen fits. Try it again."), name, body.FromOrbit, reason, by, cancel)
            : await fits.ProposeAsync(body.ToRequest(), name, body.FromOrbit, reason, by, cancel);
        return TypedResults.Json(new CoefficientsQueries(stores).One(id, engine.Mission)!, ApiJson.Options, statusCode: StatusCodes.Status201Created);
    }

    private static EvidenceItem Evidence(CoefficientHead set, Stores stores, CoefficientDesk desk, EvidenceBoard board)
    {
        var row = stores.Coefficients.NewestEvidence(set.Id);
        var standing = row is null ? null : desk.GroundOf(set.Id);
        return new(set.Id, row?.Id, row?.Computed, row?.SoftwareVersion, board.Of(set.Id), row is null ? null : EvidenceJson.Read(row.Document), GroundItem.Of(standing), set.State == CoefficientDecision.Proposed ? Again(set.Id, standing, desk) : null);
    }

    private static ReprocessingOutlook? Again(long id, EvidenceStanding? standing, CoefficientDesk desk)
    {
        try
        {
            return desk.Again(id, new() { FromOrbit = standing?.Ground.ChosenOrbit });
        }
        catch (DecisionRefusedException)
        {
            // It cannot begin there, or the mission is being opened: a decision would say so.
            return null;
        }
    }
}
