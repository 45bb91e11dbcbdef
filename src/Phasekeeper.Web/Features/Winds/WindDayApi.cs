using System.Globalization;
using System.Security.Cryptography;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.Net.Http.Headers;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Exports;
using Phasekeeper.Pipeline.Exports.NetCdf;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>The winds of a day as a file.</summary>
public static class WindDayApi
{
    /// <summary>Maps the call.</summary>
    public static void MapWindDay(this IEndpointRouteBuilder api) =>
        api.MapGet("/winds/{date}.nc", Get).WithTags("Winds").WithSummary("Winds of a UTC day as netCDF (CF-1.11): line-of-sight winds and wind vectors with uncertainties, quality flags and what they were made from.")
            .Produces(StatusCodes.Status200OK, contentType: ContentType).ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status404NotFound);

    private const string ContentType = "application/x-netcdf";

    private static FileContentHttpResult Get(string date, Stores stores, PipelineEngine engine)
    {
        if (!DateOnly.TryParseExact(date, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day))
            throw ApiProblems.BadRequest($"The file of a day is asked for as yyyy-MM-dd.nc, such as 2031-05-09.nc; found '{date}.nc'.");
        var read = WindDay.Read(stores, PlotMission.Of(engine), day) ?? throw new ApiProblemException(StatusCodes.Status404NotFound, $"There are no winds on {day:yyyy-MM-dd} (UTC).");
        using var bytes = new MemoryStream();
        ClassicNetCdf.Write(WindDayFile.Of(read), bytes);
        var content = bytes.ToArray();
        return TypedResults.File(content, ContentType, $"{FileStem(read.Profile.Spacecraft)}-winds-{day:yyyy-MM-dd}.nc",
            entityTag: new EntityTagHeaderValue($"\"{Convert.ToHexStringLower(SHA256.HashData(content))[..32]}\""));
    }

    private static string FileStem(string spacecraft) => string.Concat(spacecraft.ToLowerInvariant().Select(c => char.IsAsciiLetterOrDigit(c) ? c : '-')).Trim('-') is { Length: > 0 } stem ? stem : "mission";
}
