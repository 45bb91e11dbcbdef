using System.ComponentModel;
using System.Text;
using System.Text.Json;
using System.Text.Json.Serialization;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Activities;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Activities;

/// <summary>The body of an activity that is entered or changed.</summary>
/// <param name="Kind">Id of its kind.</param>
/// <param name="Title">Title.</param>
/// <param name="From">Start (inclusive).</param>
/// <param name="To">End (exclusive).</param>
/// <param name="Note">Further text.</param>
/// <param name="Expects">Topics of flags that it is expected to cause; absent = those of its kind.</param>
/// <param name="Reason">Why.</param>
/// <param name="Revision">For a change: revision that you saw. The change is refused (409) when somebody was faster.</param>
public sealed record ActivityBody(string? Kind, string? Title, Instant? From, Instant? To, string? Note = null, IReadOnlyList<string>? Expects = null, string? Reason = null, string? Revision = null);

/// <summary>The body of a cancellation.</summary>
/// <param name="Revision">Revision that you saw.</param>
/// <param name="Reason">Why.</param>
public sealed record ActivityCancelBody(string? Revision, string? Reason = null);

/// <summary>One activity of a preview.</summary>
/// <param name="Change">new | changed | cancelled | unchanged | older.</param>
/// <param name="Activity">As it would be.</param>
/// <param name="Before">As it is; null = not known yet.</param>
/// <param name="Reason">Why, where that is not plain.</param>
public sealed record ActivityPreviewItem(string Change, ActivityItem Activity, ActivityItem? Before, string? Reason);

/// <summary>What a calendar would change, or has changed.</summary>
/// <param name="Taken">True when it was taken in.</param>
/// <param name="Items">Its activities, by start.</param>
public sealed record ActivityImportAnswer(bool Taken, IReadOnlyList<ActivityPreviewItem> Items);

/// <summary>Planned activities: list, entering, changing, cancelling, calendars in and out.</summary>
public static class ActivitiesApi
{
    private const string Example = """{ "kind": "yaw-turn", "title": "Yaw turn to south", "from": "2031-03-10T12:00:00Z", "to": "2031-03-10T12:30:00Z", "revision": "0123456789ab" }""";
    private static readonly JsonSerializerOptions BodyOptions = new(ApiJson.Options) { UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow };

    /// <summary>Adds the calls.</summary>
    public static void MapActivities(this IEndpointRouteBuilder api)
    {
        var activities = api.MapGroup("/activities").WithTags("Activities");
        activities.MapGet("", ([AsParameters] ListQuery query, ActivityDesk desk) =>
        {
            var range = query.Read();
            var items = desk.Plans.Current().Entries.Where(e => e.Activity.From < range.To && e.Activity.To >= range.From).ToList();
            return Page.Of(items, range.Limit, range.Next).Answer(ActivityItem.Of);
        }).WithName("getActivities").WithSummary("Planned activities that touch [from, to), cancelled ones included, by start.");
        api.MapGet("/activities.ics", (ActivityDesk desk) => TypedResults.Text(ActivityExport.Write(desk.Plans.Current().Entries), "text/calendar", Encoding.UTF8)).WithTags("Activities").WithName("getActivitiesCalendar")
            .Produces<string>(StatusCodes.Status200OK, "text/calendar").WithSummary("All planned activities as an iCalendar file (RFC 5545), cancelled ones with their status.");
        activities.MapPost("", (HttpContext http, ActivityDesk desk, ICurrentActor actor) => DoAsync(async () =>
            await desk.AddAsync(Draft(await BodyAsync<ActivityBody>(http)), await actor.GetAsync(), http.RequestAborted))).RequireAuthorization(Roles.Operator).WithName("postActivity")
            .Accepts<ActivityBody>("application/json", "*/*").Produces<ActivityItem>().ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status409Conflict).WithSummary("Enters an activity.");
        activities.MapPut("/{id}", (string id, HttpContext http, ActivityDesk desk, ICurrentActor actor) => DoAsync(async () =>
        {
            var body = await BodyAsync<ActivityBody>(http);
            return await desk.ChangeAsync(id, Seen(body.Revision), Draft(body), await actor.GetAsync(), http.RequestAborted);
        })).RequireAuthorization(Roles.Operator).WithName("putActivity").Accepts<ActivityBody>("application/json", "*/*").Produces<ActivityItem>()
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Changes an activity, also one of a calendar; one that was cancelled is planned again.");
        activities.MapPost("/{id}/cancel", (string id, HttpContext http, ActivityDesk desk, ICurrentActor actor) => DoAsync(async () =>
        {
            var body = await BodyAsync<ActivityCancelBody>(http);
            return await desk.CancelAsync(id, Seen(body.Revision), body.Reason, await actor.GetAsync(), http.RequestAborted);
        })).RequireAuthorization(Roles.Operator).WithName("cancelActivity").Accepts<ActivityCancelBody>("application/json", "*/*").Produces<ActivityItem>()
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict).WithSummary("Cancels an activity; it stays to be seen.");
        activities.MapPost("/import", ImportAsync).RequireAuthorization(Roles.Operator).WithName("importActivities").Accepts<Stream>("text/calendar", "*/*").Produces<ActivityImportAnswer>()
            .ProducesProblem(StatusCodes.Status400BadRequest).WithSummary("Takes in an iCalendar file, or with preview=true only says what it would change. One mistake refuses the whole file.");
    }

    private static async Task<IResult> ImportAsync(HttpContext http, ActivityDesk desk, ActivityImport import, ICurrentActor actor,
        [FromQuery, Description("Name of the file. Default: calendar.ics.")] string? name,
        [FromQuery, Description("true: nothing is taken in. Default: false.")] bool preview = false)
    {
        using var bytes = new MemoryStream();
        var buffer = new byte[64 * 1024];
        for (int n; (n = await http.Request.Body.ReadAsync(buffer, http.RequestAborted)) > 0;)
        {
            bytes.Write(buffer, 0, n);
            if (bytes.Length > ActivityImport.LargestBytes) throw ApiProblems.BadRequest(ActivityImport.TooLarge);
        }
        var file = ActivityImport.CleanName(name);
        var found = ActivityPreview.Of(ActivityImport.Text(bytes.ToArray()), file, desk.Plans);
        if (found.Errors.Count > 0) throw ApiProblems.BadRequest($"{file} is refused; nothing of it was taken. " + string.Join(" ", found.Errors.Select(e => $"Line {e.Line}: {e.Message}.")));
        if (!preview) await import.TakeAsync(bytes.ToArray(), file, "api", await actor.GetAsync(), http.RequestAborted);
        return TypedResults.Json(new ActivityImportAnswer(!preview, [.. found.Lines.Select(l => new ActivityPreviewItem(ApiWords.Of(l.Kind), ActivityItem.Of(l.After), l.Before is null ? null : ActivityItem.Of(l.Before), l.Reason))]), ApiJson.Options);
    }

    private static async Task<IResult> DoAsync(Func<Task<ActivityEntry>> work)
    {
        try
        {
            return TypedResults.Json(ActivityItem.Of(await work()), ApiJson.Options);
        }
        catch (KeyNotFoundException missing)
        {
            throw new ApiProblemException(StatusCodes.Status404NotFound, missing.Message);
        }
        catch (ActivityConflictException first)
        {
            throw ApiProblems.Conflict(first.Message);
        }
        catch (ActivityRefusedException refused)
        {
            throw ApiProblems.BadRequest(refused.Message);
        }
    }

    private static string Seen(string? revision) => string.IsNullOrWhiteSpace(revision) ? throw ApiProblems.BadRequest("The body names no revision; expected that of the activity as you saw it, from the list of activities.") : revision;

    private static ActivityDraft Draft(ActivityBody body) => body is { Kind: { } kind, Title: { } title, From: { } from, To: { } to } ? new(kind, title, from, to, body.Note, body.Expects, body.Reason)
        : throw ApiProblems.BadRequest($"kind, title, from or to is missing; expected JSON such as {Example}.");

    private static async Task<T> BodyAsync<T>(HttpContext http)
        where T : class
    {
        try
        {
            return await JsonSerializer.DeserializeAsync<T>(http.Request.Body, BodyOptions, http.RequestAborted) ?? throw ApiProblems.BadRequest($"The body is empty; expected JSON such as {Example}.");
        }
        catch (JsonException e)
        {
            throw ApiProblems.BadRequest($"The body cannot be read ({e.Message}); expected JSON such as {Example}.");
        }
    }
}
