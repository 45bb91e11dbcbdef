using System.ComponentModel;
using System.Globalization;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Features.Intake;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Quarantine;

/// <summary>A piece in quarantine (contract.md section 4).</summary>
/// <param name="Id">Id.</param>
/// <param name="Received">Wall clock.</param>
/// <param name="Source">Road and file that it came with first.</param>
/// <param name="Offset">Byte offset in the source.</param>
/// <param name="Length">Length, bytes.</param>
/// <param name="Reason">What was found and what was expected.</param>
/// <param name="Kind">Sort of reason, e.g. badChecksum, garbage, conflict.</param>
/// <param name="State">waiting | retried | discarded.</param>
/// <param name="Kept">Bytes kept; less than the length of a very long piece.</param>
public sealed record QuarantineItem(long Id, Instant Received, string Source, long Offset, long Length, string Reason, string Kind, string State, long Kept)
{
    /// <summary>The item of a stored piece.</summary>
    public static QuarantineItem Of(QuarantineRow row) => new(row.Id, row.Received, row.Source, row.Offset, row.Length, row.Reason, row.Kind, row.State, row.Kept);
}

/// <summary>States of pieces, as asked for.</summary>
public enum QuarantineState
{
    /// <summary>Waits for a person.</summary>
    Waiting,
    /// <summary>Taken out by a retry.</summary>
    Retried,
    /// <summary>Discarded by a person.</summary>
    Discarded,
    /// <summary>Whatever its state.</summary>
    All,
}

/// <summary>Quarantine: look, download, retry, discard.</summary>
public static class QuarantineApi
{
    /// <summary>Adds the calls.</summary>
    public static void MapQuarantine(this IEndpointRouteBuilder api)
    {
        var quarantine = api.MapGroup("/quarantine").WithTags("Quarantine");
        quarantine.MapGet("", (
            [AsParameters] ListQuery query, [FromQuery(Name = "state"), Description("waiting (default), retried, discarded or all.")] string? state,
            [FromQuery(Name = "kind"), Description("A sort of reason, e.g. badChecksum. Default: all.")] string? kind, Stores stores) =>
        {
            var range = query.Read();
            var asked = WordParameter.Read<QuarantineState>("state", state) ?? QuarantineState.Waiting;
            return stores.Quarantine.List(range.From, range.To, range.Limit, range.Next, asked == QuarantineState.All ? null : ApiWords.Of(asked), string.IsNullOrEmpty(kind) ? null : kind)
                .Answer(QuarantineItem.Of);
        }).WithName("getQuarantine").WithSummary("What could not be decoded, newest first; from and to count by the wall clock of its arrival.");
        quarantine.MapGet("/{id}/bytes", Bytes).WithName("getQuarantineBytes")
            .Produces(StatusCodes.Status200OK, contentType: "application/octet-stream").ProducesProblem(StatusCodes.Status404NotFound).WithSummary("The bytes kept of a piece.");
        quarantine.MapPost("/{id}/retry", RetryAsync).RequireAuthorization(Roles.Operator).WithName("postQuarantineRetry")
            .Produces<IngestAnswer>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Tries a piece again, after a fix of the definition. It leaves quarantine when all of it is stored.");
        quarantine.MapPost("/{id}/discard", DiscardAsync).RequireAuthorization(Roles.Operator).WithName("postQuarantineDiscard")
            .Produces<QuarantineItem>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Discards a piece: it stays on record with its bytes.");
    }

    private static IResult Bytes(string id, Stores stores)
    {
        var row = Find(id, stores);
        return TypedResults.File(stores.Quarantine.Bytes(row.Id), "application/octet-stream", string.Create(CultureInfo.InvariantCulture, $"quarantine-{row.Id}.pkt"));
    }

    private static async Task<IResult> RetryAsync(string id, Stores stores, IntakeService intake, ICurrentActor actor, CancellationToken cancel)
    {
        var row = Find(id, stores);
        if (row.State != ApiWords.Of(QuarantineState.Waiting)) throw ApiProblems.Conflict(ApiTexts.NotWaiting(row.Id, row.State));
        try
        {
            return TypedResults.Json(IngestAnswer.Of(await intake.RetryAsync(row.Id, await actor.GetAsync(), cancel)), ApiJson.Options);
        }
        catch (InvalidOperationException e)
        {
            throw ApiProblems.Conflict(e.Message);
        }
    }

    private static async Task<IResult> DiscardAsync(string id, Stores stores, IntakeService intake, ICurrentActor actor, CancellationToken cancel)
    {
        var row = Find(id, stores);
        try
        {
            await intake.DiscardAsync(row.Id, await actor.GetAsync(), cancel);
        }
        catch (InvalidOperationException e)
        {
            throw ApiProblems.Conflict(e.Message);
        }
        return TypedResults.Json(QuarantineItem.Of(Find(id, stores)), ApiJson.Options);
    }

    private static QuarantineRow Find(string id, Stores stores) =>
        !long.TryParse(id, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? throw ApiProblems.BadRequest(ApiTexts.BadId("quarantine item", id))
        : stores.Quarantine.Get(number) ?? throw ApiProblems.NotFound("quarantine item", id);
}
