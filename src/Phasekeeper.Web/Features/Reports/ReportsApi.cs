using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Reports;

/// <summary>A report of the archive.</summary>
/// <param name="Id">Id; its PDF is reports/{id}.pdf.</param>
/// <param name="Kind">day | week.</param>
/// <param name="First">First UTC day.</param>
/// <param name="Made">When, wall clock.</param>
/// <param name="Actor">Who asked for it.</param>
/// <param name="Versions">Of which data.</param>
/// <param name="Failure">Why there is no PDF; null = there is one.</param>
/// <param name="Sha256">Hash of the PDF; null without one.</param>
/// <param name="Length">Bytes; null without one.</param>
public sealed record ReportItem(long Id, string Kind, string First, Instant Made, string Actor, string Versions, string? Failure, string? Sha256, long? Length)
{
    /// <summary>The item of a row.</summary>
    public static ReportItem Of(ReportRow row)
    {
        ArgumentNullException.ThrowIfNull(row);
        return new(row.Id, row.Kind, row.First, row.Made, row.Actor, row.Versions, row.Failure, row.Hash is null ? null : Convert.ToHexStringLower(row.Hash), row.Length);
    }
}

/// <summary>Reports of days and weeks as PDF.</summary>
public static class ReportsApi
{
    private const int Most = 10_000;

    // With its number: two reports of one day, kept in one folder, are told apart.
    internal static string FileName(ReportRow report) => string.Create(CultureInfo.InvariantCulture, $"{report.Kind}-report-{report.First}-no-{report.Id}.pdf");

    /// <summary>Adds the calls.</summary>
    public static void MapReports(this IEndpointRouteBuilder api)
    {
        var reports = api.MapGroup("/reports").WithTags("Reports");
        reports.MapGet("", ([AsParameters] ListQuery query, Stores stores) =>
        {
            var range = query.Read();
            return Page.Of(stores.Reports.Newest(Most).Where(r => r.Made >= range.From && r.Made < range.To).ToList(), range.Limit, range.Next).Answer(ReportItem.Of);
        }).WithName("getReports").WithSummary("The archive of reports, newest first; from and to are wall clock.");
        reports.MapGet("/{id:long}.pdf", (long id, Stores stores) => stores.Reports.Get(id) is { } found
            ? TypedResults.File(found.Pdf, "application/pdf", FileName(found.Report))
            : throw ApiProblems.NotFound("report with a PDF", id.ToString(CultureInfo.InvariantCulture))).WithName("getReport").Produces(StatusCodes.Status200OK, contentType: "application/pdf").ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("The PDF of a report.");
        reports.MapPost("/{kind}/{first}", async (string kind, string first, HttpContext http, ReportMaker maker, ICurrentActor actor) =>
        {
            var span = ReportSpan.Read(kind, first) ?? throw ApiProblems.BadRequest($"Found '{kind}/{first}'; expected day/2031-05-09, or week/ with the date of a Monday.");
            return TypedResults.Json(ReportItem.Of(await maker.MakeAsync(span, await actor.GetAsync(Roles.Operator), http.RequestAborted)), ApiJson.Options);
        }).RequireAuthorization(Roles.Operator).WithName("postReport").Produces<ReportItem>().ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Makes a report as the data are now; where there can be no PDF, 'failure' says why.");
    }
}
