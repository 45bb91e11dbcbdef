using System.Globalization;
using System.Text.Json;
using System.Text.Json.Serialization;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>The body of a step.</summary>
/// <param name="Note">Why; shown in the flag's history.</param>
/// <param name="Cause">Cause, of the mission's list, for explain and settle.</param>
/// <param name="To">Who is to have it, for hand-over.</param>
/// <param name="Revision">Revision of the flag's life that you saw: the step is refused (409) when somebody was faster. Also as the header If-Match. Absent: whatever it is.</param>
public sealed record FlagStepBody(string? Note = null, string? Cause = null, string? To = null, long? Revision = null);

/// <summary>A flag of a step with many.</summary>
/// <param name="Id">Id.</param>
/// <param name="Revision">Revision that you saw; absent: whatever it is.</param>
public sealed record FlagAtBody(string Id, long? Revision = null);

/// <summary>The body of a step with many flags.</summary>
/// <param name="Step">take, hand-over, release, explain, settle or reopen.</param>
/// <param name="Flags">The flags.</param>
/// <param name="Note">Why.</param>
/// <param name="Cause">Cause.</param>
/// <param name="To">Who is to have them, for hand-over.</param>
public sealed record FlagManyBody(string Step, IReadOnlyList<FlagAtBody> Flags, string? Note = null, string? Cause = null, string? To = null);

/// <summary>What came of a step with one flag of many.</summary>
/// <param name="Id">The flag.</param>
/// <param name="State">Its state after the step; null when it was refused.</param>
/// <param name="Revision">Revision after it; null when it was refused.</param>
/// <param name="Refusal">Why it was refused; null when the step was taken.</param>
public sealed record FlagManyItem(string Id, string? State, long? Revision, string? Refusal);

/// <summary>The body of a comment.</summary>
/// <param name="Text">The comment; @name mentions a person of the mission.</param>
public sealed record FlagCommentBody(string? Text);

/// <summary>The body of a link.</summary>
/// <param name="Other">Id of the other flag.</param>
public sealed record FlagLinkBody(string? Other);

/// <summary>The body of a plot as seen.</summary>
/// <param name="Title">Title of the plot.</param>
/// <param name="Url">Address of its data on this server, below /api/v1/plots/.</param>
/// <param name="Document">The plot's data as they were drawn.</param>
/// <param name="Note">What you say of it.</param>
public sealed record FlagPlotBody(string? Title, string? Url, JsonElement Document, string? Note = null);

/// <summary>What people do with flags.</summary>
public static class FlagStepsApi
{
    private static readonly JsonSerializerOptions BodyOptions = new(ApiJson.Options) { UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow };

    /// <summary>Adds the calls below /flags.</summary>
    public static void MapFlagSteps(this IEndpointRouteBuilder flags)
    {
        flags.MapPost("/steps", ManyAsync).RequireAuthorization(Roles.Operator).WithName("postFlagSteps").Accepts<FlagManyBody>("application/json", "*/*").Produces<FlagManyItem[]>()
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status409Conflict).WithSummary("One step with many flags, in one transaction; each is told what came of it.");
        flags.MapPost("/{id}/{step}", StepAsync).RequireAuthorization(Roles.Operator).WithName("postFlagStep").Accepts<FlagStepBody>(isOptional: true, "application/json", "*/*")
            .Produces<FlagDetail>().ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Moves a flag on: take, hand-over, release, explain, settle or reopen.");
        flags.MapPost("/{id}/comments", (string id, HttpContext http, FlagTalk talk, FlagTeams teams, ICurrentActor actor, Stores stores) => DoAsync(id, stores, async () =>
            await talk.CommentAsync(id, (await BodyAsync<FlagCommentBody>(http, """{ "text": "Seen at the station too, @kim" }""")).Text, await actor.GetAsync(), teams.Current(), http.RequestAborted)))
            .RequireAuthorization(Roles.Operator).WithName("postFlagComment").Accepts<FlagCommentBody>("application/json", "*/*").Produces<FlagDetail>()
            .ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict).WithSummary("Adds a comment; @name mentions a person of the mission.");
        flags.MapPost("/{id}/links", (string id, HttpContext http, FlagTalk talk, ICurrentActor actor, Stores stores) => DoAsync(id, stores, async () =>
            await talk.LinkAsync(id, (await BodyAsync<FlagLinkBody>(http, """{ "other": "lamp-loss.0123456789.o17" }""")).Other, await actor.GetAsync(), http.RequestAborted)))
            .RequireAuthorization(Roles.Operator).WithName("postFlagLink").Accepts<FlagLinkBody>("application/json", "*/*").Produces<FlagDetail>()
            .ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict).WithSummary("Links two flags.");
        flags.MapDelete("/{id}/links/{other}", (string id, string other, HttpContext http, FlagTalk talk, ICurrentActor actor, Stores stores) => DoAsync(id, stores, async () =>
            await talk.UnlinkAsync(id, other, await actor.GetAsync(), http.RequestAborted)))
            .RequireAuthorization(Roles.Operator).WithName("deleteFlagLink").Produces<FlagDetail>()
            .ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict).WithSummary("Takes the link of two flags away.");
        flags.MapPost("/{id}/plots", (string id, HttpContext http, FlagTalk talk, ICurrentActor actor, EndpointDataSource routes, Stores stores) => DoAsync(id, stores, async () =>
        {
            var seen = SeenPlot.Check(await BodyAsync<FlagPlotBody>(http, """{ "title": "Evidence", "url": "/api/v1/plots/flags/…", "document": { … } }"""), routes, http);
            await talk.AttachAsync(id, seen.Title!, seen.Url!, seen.Document.GetRawText(), seen.Note, await actor.GetAsync(), http.RequestAborted);
        })).RequireAuthorization(Roles.Operator).WithName("postFlagPlot").Accepts<FlagPlotBody>("application/json", "*/*").Produces<FlagDetail>()
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict).WithSummary("Keeps a plot as it was seen beside the flag.");
    }

    private static Task<IResult> StepAsync(string id, string step, HttpContext http, FlagSteps steps, FlagTeams teams, ICurrentActor actor, Stores stores) => DoAsync(id, stores, async () =>
    {
        var kind = LifeStep.KindOf(step) ?? throw ApiProblems.BadRequest(ApiTexts.UnknownStep(step, LifeStep.Words));
        var body = await StepBodyAsync(http);
        await steps.TakeAsync(new(id, RevisionOf(http.Request, body.Revision)), new(kind, body.Note, body.Cause, body.To), await actor.GetAsync(), teams.Current(), http.RequestAborted);
    });

    private static async Task<IResult> ManyAsync(HttpContext http, FlagSteps steps, FlagTeams teams, ICurrentActor actor)
    {
        var body = await BodyAsync<FlagManyBody>(http, """{ "step": "take", "flags": [ { "id": "…", "revision": 0 } ] }""");
        if (body.Step is null || body.Flags is null || body.Flags.Any(f => f?.Id is null)) throw ApiProblems.BadRequest(ApiTexts.BadStepBody("step, flags, or the id of a flag is missing"));
        var kind = LifeStep.KindOf(body.Step) ?? throw ApiProblems.BadRequest(ApiTexts.UnknownStep(body.Step, LifeStep.Words));
        try
        {
            var results = await steps.TakeManyAsync([.. body.Flags.Select(f => new FlagAt(f.Id, f.Revision))], new(kind, body.Note, body.Cause, body.To), await actor.GetAsync(), teams.Current(), http.RequestAborted);
            return TypedResults.Json(results.Select(r => new FlagManyItem(r.Id, r.Flag?.State, r.Flag?.Revision, r.Refusal)), ApiJson.Options);
        }
        catch (FlagRefusedException refused)
        {
            throw ApiProblems.Conflict(refused.Message);
        }
    }

    private static async Task<IResult> DoAsync(string id, Stores stores, Func<Task> work)
    {
        try
        {
            await work();
        }
        catch (KeyNotFoundException missing)
        {
            throw stores.Flags.Get(id) is null ? ApiProblems.NotFound("flag", id) : ApiProblems.Conflict(missing.Message);
        }
        catch (FlagRefusedException refused)
        {
            throw ApiProblems.Conflict(refused.Message);
        }
        return FlagsApi.Detail(id, stores);
    }

    // A revision in the body comes first; If-Match is what HTTP has for it (RFC 9110, section 13.1.1).
    private static long? RevisionOf(HttpRequest request, long? inBody)
    {
        var header = request.Headers.IfMatch.ToString().Trim();
        if (inBody is not null || header.Length == 0 || header == "*") return inBody;
        return long.TryParse(header.Trim('"'), NumberStyles.None, CultureInfo.InvariantCulture, out var revision) ? revision
            : throw ApiProblems.BadRequest($"Found the header If-Match: {header}; expected the revision of the flag's life in quotes, such as \"3\".");
    }

    private static async Task<FlagStepBody> StepBodyAsync(HttpContext http) =>
        Read<FlagStepBody>(await TextAsync(http), ApiTexts.BadStepBody) ?? new FlagStepBody();

    private static async Task<T> BodyAsync<T>(HttpContext http, string example)
        where T : class => Read<T>(await TextAsync(http), reason => $"The body cannot be read ({reason}); expected JSON such as {example}.") ?? throw ApiProblems.BadRequest($"The body is empty; expected JSON such as {example}.");

    private static T? Read<T>(string body, Func<string, string> refusal)
        where T : class
    {
        if (string.IsNullOrWhiteSpace(body)) return null;
        try
        {
            return JsonSerializer.Deserialize<T>(body, BodyOptions);
        }
        catch (JsonException e)
        {
            throw ApiProblems.BadRequest(refusal(e.Message));
        }
    }

    // A plot is the largest body here; escapes and what stands around it may double it.
    private static async Task<string> TextAsync(HttpContext http)
    {
        const int most = 2 * FlagTalk.LargestDocument;
        using var bytes = new MemoryStream();
        var buffer = new byte[64 * 1024];
        for (int n; (n = await http.Request.Body.ReadAsync(buffer, http.RequestAborted)) > 0;)
        {
            bytes.Write(buffer, 0, n);
            if (bytes.Length > most) throw ApiProblems.BadRequest($"The body has more than {most / 1024 / 1024} MiB; a plot of at most {FlagTalk.LargestDocument / 1024 / 1024} MiB is kept. Zoom in, or show fewer traces, and send it again.");
        }
        return System.Text.Encoding.UTF8.GetString(bytes.GetBuffer(), 0, (int)bytes.Length).TrimStart('\uFEFF');
    }
}
