using System.Globalization;
using System.Text.Json;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>A decision about a set.</summary>
/// <param name="Decision">approved | declined.</param>
/// <param name="From">Approved: in force from here on; null = from the beginning.</param>
/// <param name="Actor">Who.</param>
/// <param name="Time">Wall clock.</param>
/// <param name="Note">Why.</param>
public sealed record CoefficientDecisionItem(string Decision, Instant? From, string Actor, Instant Time, string Note);

/// <summary>A stretch in which a set is in force.</summary>
/// <param name="From">Start; null = the beginning.</param>
/// <param name="To">End; null = it goes on.</param>
public sealed record InForceItem(Instant? From, Instant? To);

/// <summary>A coefficient set with its evidence and what was decided.</summary>
/// <param name="Id">Id; products name it.</param>
/// <param name="Name">Name.</param>
/// <param name="ValidFrom">From when it was meant.</param>
/// <param name="State">proposed | approved | declined: the last decision.</param>
/// <param name="ProposedBy">Who proposed it.</param>
/// <param name="Proposed">Wall clock of the proposal.</param>
/// <param name="Basis">From which fit on which data.</param>
/// <param name="Evidence">Evidence on orbits that the fit did not see.</param>
/// <param name="Decisions">Decisions in order.</param>
/// <param name="InForce">When it is in force.</param>
public sealed record CoefficientSetItem(
    long Id, string Name, Instant ValidFrom, string State, string ProposedBy, Instant Proposed, string Basis, JsonElement Evidence,
    IReadOnlyList<CoefficientDecisionItem> Decisions, IReadOnlyList<InForceItem> InForce);

/// <summary>Coefficient sets and decisions, to read.</summary>
public static class CoefficientsApi
{
    /// <summary>Adds the calls.</summary>
    public static void MapCoefficients(this IEndpointRouteBuilder api)
    {
        var coefficients = api.MapGroup("/coefficients").WithTags("Coefficients");
        coefficients.MapGet("", ([AsParameters] ListQuery query, Stores stores) => All(stores.Coefficients).AnswerPart(query.Read())).WithName("getCoefficients")
            .WithSummary("All coefficient sets with evidence, decisions, and when each is in force.");
        coefficients.MapGet("/{id}", (string id, Stores stores) => Content(id, stores.Coefficients)).WithName("getCoefficientSet")
            .Produces(StatusCodes.Status200OK, contentType: "application/json").ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("The numbers of a set, its flats included.");
    }

    private static IResult Content(string id, CoefficientStore store)
    {
        if (!long.TryParse(id, NumberStyles.None, CultureInfo.InvariantCulture, out var number)) throw ApiProblems.BadRequest(ApiTexts.BadId("coefficient set", id));
        var set = store.Get(number) ?? throw ApiProblems.NotFound("coefficient set", id, store.All().Select(s => s.Id.ToString(CultureInfo.InvariantCulture)));
        return TypedResults.Text(set.Json, "application/json");
    }

    private static List<CoefficientSetItem> All(CoefficientStore store)
    {
        var decisions = store.Decisions().ToLookup(d => d.SetId);
        var timeline = store.InForce();
        return [.. store.All().Select(s => new CoefficientSetItem(
            s.Id, s.Name, s.ValidFrom, s.State, s.ProposedBy, s.Proposed, s.Basis, JsonElement.Parse(s.Evidence),
            [.. decisions[s.Id].Select(d => new CoefficientDecisionItem(d.Decision, OrBeginning(d.FromTime), d.Actor, d.Time, d.Note))],
            [.. timeline.Select((t, i) => (t.SetId, Stretch: new InForceItem(OrBeginning(t.From), i + 1 < timeline.Count ? timeline[i + 1].From : null)))
                .Where(t => t.SetId == s.Id).Select(t => t.Stretch)]))];
    }

    private static Instant? OrBeginning(Instant time) => time == Instant.MinValue ? null : time;
}
