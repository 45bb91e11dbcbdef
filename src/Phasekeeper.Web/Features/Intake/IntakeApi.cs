using System.ComponentModel;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Features.Intake;

/// <summary>What became of a request's bytes.</summary>
/// <param name="Stored">Packets (or orbit, attitude and activity files) stored.</param>
/// <param name="Duplicates">Of them known already, and dropped.</param>
/// <param name="Quarantined">New pieces in quarantine.</param>
/// <param name="Bytes">Bytes received.</param>
public sealed record IngestAnswer(long Stored, long Duplicates, long Quarantined, long Bytes)
{
    /// <summary>The answer of a result.</summary>
    public static IngestAnswer Of(IngestResult result) => new(result.Stored, result.Duplicates, result.Quarantined, result.Bytes);
}

/// <summary>Roads of requests, as the log names them.</summary>
public enum IntakeRoad
{
    /// <summary>A script.</summary>
    Api,
    /// <summary>The upload page.</summary>
    Upload,
}

/// <summary>Packets in, and how far they are processed.</summary>
public static class IntakeApi
{
    /// <summary>Adds the calls.</summary>
    public static void MapIntake(this IEndpointRouteBuilder api)
    {
        api.MapPost("/packets", PostAsync).RequireAuthorization(Policies.Intake).WithTags("Intake").WithName("postPackets")
            .Accepts<Stream>("application/octet-stream", "*/*")
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status413PayloadTooLarge).ProducesProblem(StatusCodes.Status415UnsupportedMediaType)
            .WithSummary("Takes in packets, or an orbit, attitude or activity file (told by its content). Answers once all of it is durable.");
        api.MapGet("/ingest", (IntakeService intake) => TypedResults.Json(intake.Figures(), ApiJson.Options)).RequireAuthorization(Policies.IntakeProgress).WithTags("Intake").WithName("getIngest")
            .WithSummary("What came in. idle: everything received so far is processed through trackers and flags.");
    }

    private static async Task<IResult> PostAsync(
        HttpRequest request, IntakeService intake, ICurrentActor actor,
        [FromQuery, Description("Name of the file, for the log; also helps to tell orbit, attitude and activity files. Default: none.")] string? name,
        [FromQuery, Description("api (default), or upload for the upload page.")] string? road,
        CancellationToken cancel)
    {
        var source = WordParameter.Read<IntakeRoad>("road", road) is { } known ? ApiWords.Of(known) : ApiWords.Of(IntakeRoad.Api);
        if (CleanName(name) is { Length: > 0 } file) source += ":" + file;
        if (request.HasFormContentType && request.ContentType!.StartsWith("multipart/", StringComparison.OrdinalIgnoreCase))
            throw new ApiProblemException(StatusCodes.Status415UnsupportedMediaType, ApiTexts.FormBody(request.ContentType));
        try
        {
            return TypedResults.Json(IngestAnswer.Of(await intake.IngestAsync(request.Body, source, await actor.GetAsync(), cancel)), ApiJson.Options);
        }
        catch (BadHttpRequestException e) when (e.StatusCode == StatusCodes.Status413PayloadTooLarge)
        {
            throw new ApiProblemException(e.StatusCode, ApiTexts.BodyTooLarge(PhasekeeperHost.LargestBodyBytes));
        }
        catch (InvalidDataException e)
        {
            throw new ApiProblemException(StatusCodes.Status413PayloadTooLarge, e.Message);
        }
    }

    // The name is shown and kept: no folders, no control characters, no more than a file system allows.
    private static string CleanName(string? name) =>
        string.Concat(Path.GetFileName((name ?? "").Replace('\\', '/')).Where(c => !char.IsControl(c)).Take(255));
}
