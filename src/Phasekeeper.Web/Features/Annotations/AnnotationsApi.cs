using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Annotations;

/// <summary>The body of a new note.</summary>
/// <param name="From">Start; ISO 8601 UTC.</param>
/// <param name="To">End; absent = an instant.</param>
/// <param name="Text">The words, on one line.</param>
/// <param name="View">View that it speaks of.</param>
/// <param name="Line">Line that it speaks of.</param>
/// <param name="Channel">Channel that it speaks of.</param>
public sealed record AnnotationBody(string? From, string? To, string? Text, string? View = null, string? Line = null, string? Channel = null);

/// <summary>A note that stands.</summary>
/// <param name="Id">Id.</param>
/// <param name="From">Start, mission time.</param>
/// <param name="To">End.</param>
/// <param name="Text">The words.</param>
/// <param name="View">View that it speaks of; null = none alone.</param>
/// <param name="Line">Line that it speaks of; null = none alone.</param>
/// <param name="Channel">Channel that it speaks of; null = none alone.</param>
/// <param name="Actor">Who wrote it.</param>
/// <param name="Time">When, wall clock.</param>
public sealed record AnnotationItem(long Id, Instant From, Instant To, string Text, string? View, string? Line, string? Channel, string Actor, Instant Time)
{
    /// <summary>The item of a row.</summary>
    public static AnnotationItem Of(AnnotationRow row)
    {
        ArgumentNullException.ThrowIfNull(row);
        return new(row.Id, row.From, row.To, row.Text, row.View, row.Line, row.Channel, row.Actor, row.Time);
    }
}

/// <summary>Notes pinned to stretches of time.</summary>
public static class AnnotationsApi
{
    /// <summary>Adds the calls.</summary>
    public static void MapAnnotations(this IEndpointRouteBuilder api)
    {
        var notes = api.MapGroup("/annotations").WithTags("Annotations");
        notes.MapGet("", ([AsParameters] ListQuery query, Stores stores) =>
        {
            var range = query.Read();
            // Both ends of a plot belong to it; a list's end does not.
            var items = stores.Annotations.Touching(range.From, range.To, ListQuery.LargestLimit).Where(n => n.From < range.To).ToList();
            return Page.Of(items, range.Limit, range.Next).Answer(AnnotationItem.Of);
        }).WithName("getAnnotations").WithSummary("Notes that stand and touch [from, to), in the order of their start.");
        notes.MapPost("", async (HttpContext http, AnnotationDesk desk, ICurrentActor actor, Stores stores) =>
        {
            var body = await JsonBody.ReadAsync<AnnotationBody>(http, """{ "from": "2031-05-09T10:00:00Z", "to": "2031-05-09T10:20:00Z", "text": "Lamp warmed up twice" }""");
            var from = TimeParameter.Read("from", body.From) ?? throw ApiProblems.BadRequest("$.from: found nothing; expected a time such as 2031-05-09T10:00:00Z.");
            var asked = new AnnotationRequest(from, TimeParameter.Read("to", body.To) ?? from, body.Text, body.View, body.Line, body.Channel);
            try
            {
                return TypedResults.Json(new { Id = await desk.AddAsync(asked, await actor.GetAsync(Roles.Operator), http.RequestAborted) }, ApiJson.Options);
            }
            catch (RequestRefusedException refused)
            {
                throw ApiProblems.BadRequest(refused.Message);
            }
        }).RequireAuthorization(Roles.Operator).WithName("postAnnotation").Accepts<AnnotationBody>("application/json", "*/*")
            .ProducesProblem(StatusCodes.Status400BadRequest).WithSummary("Pins a note to a stretch of mission time; every plot of that time shows it.");
        notes.MapPost("/{id:long}/retire", async (long id, HttpContext http, AnnotationDesk desk, ICurrentActor actor) =>
        {
            try
            {
                await desk.RetireAsync(id, await actor.GetAsync(Roles.Operator), http.RequestAborted);
                return TypedResults.NoContent();
            }
            catch (KeyNotFoundException)
            {
                throw ApiProblems.NotFound("note", id.ToString(System.Globalization.CultureInfo.InvariantCulture));
            }
            catch (RequestRefusedException refused)
            {
                throw ApiProblems.Conflict(refused.Message);
            }
        }).RequireAuthorization(Roles.Operator).WithName("postAnnotationRetire").ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Retires a note: it is kept, and no plot shows it any more.");
    }
}
