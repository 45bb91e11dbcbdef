using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.SharedViews;

/// <summary>The body of a new shared view.</summary>
/// <param name="Name">Name.</param>
/// <param name="Address">Path and query of a page of this program.</param>
/// <param name="Note">What there is to see.</param>
public sealed record SharedViewBody(string? Name, string? Address, string? Note = null);

/// <summary>The body of a change of a shared view.</summary>
/// <param name="Name">Name from now on.</param>
/// <param name="Note">Note from now on.</param>
/// <param name="Revision">Revision that you saw; absent = whatever it is.</param>
public sealed record SharedViewChangeBody(string? Name, string? Note = null, long? Revision = null);

/// <summary>A shared view that stands.</summary>
/// <param name="Id">Id.</param>
/// <param name="Name">Name.</param>
/// <param name="Note">What there is to see.</param>
/// <param name="Address">Path and query of the page.</param>
/// <param name="Actor">Who saved it.</param>
/// <param name="Time">When, wall clock.</param>
/// <param name="Revision">Number of changes since.</param>
public sealed record SharedViewItem(long Id, string Name, string Note, string Address, string Actor, Instant Time, long Revision)
{
    /// <summary>The item of a row.</summary>
    public static SharedViewItem Of(SharedViewRow row)
    {
        ArgumentNullException.ThrowIfNull(row);
        return new(row.Id, row.Name, row.Note, row.Address, row.Actor, row.Time, row.Revision);
    }
}

/// <summary>States of pages under a name, for the team.</summary>
public static class SharedViewsApi
{
    /// <summary>Adds the calls.</summary>
    public static void MapSharedViews(this IEndpointRouteBuilder api)
    {
        var views = api.MapGroup("/views").WithTags("Shared views");
        views.MapGet("", ([AsParameters] ListQuery query, Stores stores) =>
        {
            var range = query.Read();
            return Page.Of(stores.SharedViews.List().Where(v => v.Time >= range.From && v.Time < range.To).ToList(), range.Limit, range.Next).Answer(SharedViewItem.Of);
        }).WithName("getSharedViews").WithSummary("Shared views that stand, by name; from and to are wall clock, of when they were saved.");
        views.MapPost("", async (HttpContext http, SharedViewDesk desk, ICurrentActor actor) =>
        {
            var body = await JsonBody.ReadAsync<SharedViewBody>(http, """{ "name": "Lamp week", "address": "/drift?range=7d", "note": "…" }""");
            return await DoAsync(0, async () => TypedResults.Json(new { Id = await desk.SaveAsync(body.Name, body.Note, body.Address, await actor.GetAsync(Roles.Operator), http.RequestAborted) }, ApiJson.Options));
        }).RequireAuthorization(Roles.Operator).WithName("postSharedView").Accepts<SharedViewBody>("application/json", "*/*")
            .ProducesProblem(StatusCodes.Status400BadRequest).WithSummary("Saves the state of a page under a name.");
        views.MapPost("/{id:long}", async (long id, HttpContext http, SharedViewDesk desk, ICurrentActor actor) =>
        {
            var body = await JsonBody.ReadAsync<SharedViewChangeBody>(http, """{ "name": "Lamp week", "note": "…", "revision": 0 }""");
            return await DoAsync(id, async () =>
            {
                await desk.RenameAsync(id, body.Revision, body.Name, body.Note, await actor.GetAsync(Roles.Operator), http.RequestAborted);
                return TypedResults.NoContent();
            });
        }).RequireAuthorization(Roles.Operator).WithName("postSharedViewChange").Accepts<SharedViewChangeBody>("application/json", "*/*")
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict).WithSummary("Gives a shared view another name or note.");
        views.MapPost("/{id:long}/retire", (long id, long? revision, HttpContext http, SharedViewDesk desk, ICurrentActor actor) => DoAsync(id, async () =>
        {
            await desk.RetireAsync(id, revision, await actor.GetAsync(Roles.Operator), http.RequestAborted);
            return TypedResults.NoContent();
        })).RequireAuthorization(Roles.Operator).WithName("postSharedViewRetire").ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Retires a shared view.");
    }

    private static async Task<IResult> DoAsync(long id, Func<Task<IResult>> work)
    {
        try
        {
            return await work();
        }
        catch (KeyNotFoundException)
        {
            throw ApiProblems.NotFound("shared view", id.ToString(CultureInfo.InvariantCulture));
        }
        catch (RequestRefusedException refused)
        {
            throw ApiProblems.BadRequest(refused.Message);
        }
        catch (ViewMovedException moved)
        {
            throw ApiProblems.Conflict(moved.Message);
        }
    }
}
