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
            .WithSummary("Fits as POST fits does and proposes the set; its evidence follows in the background.");
        coefficients.MapGet("/proposals/{id}/evidence", (string id, Stores stores, EvidenceBoard board) => TypedResults.Json(Evidence(CoefficientsApi.Row(id, stores).Id, stores, board), ApiJson.Options))
            .WithName("getCoefficientEvidence").Produces<EvidenceItem>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("What a proposed set would change, computed from the archive: residuals on orbits fitted, held out between them and after them, with the measurements that either set has, winds, flags, orbits and days to be made again, warnings; and how far a computation is.");
        coefficients.MapPost("/proposals/{id}/evidence", async (string id, EvidenceDesk desk, EvidenceBoard board, Stores stores, ICurrentActor actor, CancellationToken cancel) =>
        {
            var set = CoefficientsApi.Row(id, stores).Id;
            await desk.AskAsync(set, await actor.GetAsync(), cancel);
            return TypedResults.Json(Evidence(set, stores, board), ApiJson.Options, statusCode: StatusCodes.Status202Accepted);
        }).RequireAuthorization(Roles.Analyst).WithName("postCoefficientEvidence").Produces<EvidenceItem>(StatusCodes.Status202Accepted)
            .ProducesProblem(StatusCodes.Status403Forbidden).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Lets the evidence of an undecided proposal be computed again, in the background.");
    }

    private static async Task<IResult> ProposeAsync(HttpRequest request, FitDesk fits, Stores stores, PipelineEngine engine, ICurrentActor actor, CancellationToken cancel)
    {
        var body = await CoefficientsApi.ReadAsync<FitProposalBody>(request, cancel);
        var id = await fits.ProposeAsync(body.ToRequest(), body.Name ?? "", body.FromOrbit, body.Reason ?? "", await actor.GetAsync(), cancel);
        return TypedResults.Json(new CoefficientsQueries(stores).Sets(engine.Mission).Single(s => s.Id == id), ApiJson.Options, statusCode: StatusCodes.Status201Created);
    }

    private static EvidenceItem Evidence(long id, Stores stores, EvidenceBoard board)
    {
        var row = stores.Coefficients.Evidence(id) is [var newest, ..] ? newest : null;
        return new(id, row?.Id, row?.Computed, row?.SoftwareVersion, board.Of(id), row is null ? null : EvidenceJson.Read(row.Document));
    }
}
