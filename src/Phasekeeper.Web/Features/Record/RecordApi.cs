using System.ComponentModel;
using System.Globalization;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;

namespace Phasekeeper.Web.Features.Record;

/// <summary>An entry of the record. With number, taiNs and the texts as they stand here, anyone can compute the hash again (README).</summary>
/// <param name="Number">From 1, without gaps.</param>
/// <param name="Time">Wall clock.</param>
/// <param name="TaiNs">The same, as it is hashed: nanoseconds of TAI since 1970-01-01T00:00:00 TAI. Text, since JSON numbers lose digits in many readers.</param>
/// <param name="Person">Who; system for the program itself.</param>
/// <param name="Role">In which role.</param>
/// <param name="Address">Network address that it came from; null for the program itself.</param>
/// <param name="What">Kind, e.g. flag.take.</param>
/// <param name="Subject">What it is about.</param>
/// <param name="Before">What was before: JSON, as text.</param>
/// <param name="After">What is after: JSON, as text.</param>
/// <param name="Reason">Why.</param>
/// <param name="Previous">Hash of the entry before, hexadecimal.</param>
/// <param name="Hash">Hash of this entry, hexadecimal.</param>
public sealed record RecordItem(
    long Number, Instant Time, string TaiNs, string Person, string Role, string? Address, string What, string Subject, string? Before, string? After, string? Reason, string Previous, string Hash)
{
    /// <summary>The item of an entry.</summary>
    public static RecordItem Of(RecordEntry e) => new(e.Number, e.Time, e.Time.TaiNanoseconds.ToString(CultureInfo.InvariantCulture), e.Person, e.Role, e.Address, e.What, e.Subject, e.Before, e.After, e.Reason,
        Convert.ToHexStringLower(e.Previous), Convert.ToHexStringLower(e.Hash));
}

/// <summary>State of the chain, as the last verification found it.</summary>
/// <param name="State">unverified | whole | broken.</param>
/// <param name="Entries">Entries that were read.</param>
/// <param name="Hash">Hash of the newest of them, hexadecimal: note it elsewhere, and nobody can write the record anew unnoticed.</param>
/// <param name="Checked">Wall clock of the verification.</param>
/// <param name="Findings">What was found and what was expected, a sentence or two each.</param>
public sealed record RecordState(string State, long Entries, string? Hash, Instant? Checked, IReadOnlyList<string> Findings)
{
    /// <summary>The state of a report.</summary>
    public static RecordState Of(RecordReport? report) => report is null ? new("unverified", 0, null, null, [])
        : new(report.IsWhole ? "whole" : "broken", report.Entries, Convert.ToHexStringLower(report.Hash), report.Checked, [.. report.Findings.Select(f => f.ToString())]);
}

/// <summary>The record of decisions and changes, to read and to take away.</summary>
public static class RecordApi
{
    /// <summary>Adds the calls.</summary>
    public static void MapRecord(this IEndpointRouteBuilder api)
    {
        var record = api.MapGroup("/record").WithTags("Record");
        record.MapGet("", (
            [AsParameters] ListQuery query, [FromQuery, Description("Name of who did it. Default: all.")] string? person, [FromQuery, Description("Kind, e.g. flag.take. Default: all.")] string? what,
            [FromQuery, Description("What it is about, whole. Default: all.")] string? subject,
            [FromQuery, Description("Words that stand in subject, before, after, reason or person. Default: all.")] string? q, Stores stores) =>
        {
            var range = query.Read();
            return stores.Record.List(new(Given(person), Given(what), Given(subject), range.From, range.To, Given(q)), range.Limit, range.Next).Answer(RecordItem.Of);
        }).WithName("getRecord").WithSummary("Who decided or changed what, newest first; from and to count by the wall clock.");
        record.MapGet("/state", (RecordWatch watch) => TypedResults.Json(RecordState.Of(watch.Report), ApiJson.Options)).WithName("getRecordState")
            .WithSummary("Whether the chain of entries is whole, as the last verification found it.");
        record.MapGet("/{number}", (string number, Stores stores) => TypedResults.Json(RecordItem.Of(Find(number, stores)), ApiJson.Options)).WithName("getRecordEntry")
            .ProducesProblem(StatusCodes.Status404NotFound).WithSummary("One entry.");
    }

    private static RecordEntry Find(string number, Stores stores) =>
        !long.TryParse(number, NumberStyles.None, CultureInfo.InvariantCulture, out var place) ? throw ApiProblems.BadRequest(ApiTexts.BadId("record entry", number))
        : stores.Record.Get(place) ?? throw ApiProblems.NotFound("record entry", number);

    private static string? Given(string? text) => string.IsNullOrEmpty(text) ? null : text;
}
