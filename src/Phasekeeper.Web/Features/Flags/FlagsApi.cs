using System.ComponentModel;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>A flag in a group of one likely cause.</summary>
/// <param name="Group">Name of the group: id of the flag that is the likely first cause.</param>
/// <param name="Activity">Planned activity that is the likely first cause; null = the first flag is.</param>
/// <param name="Flag">The flag.</param>
/// <param name="Follows">The flag that it follows from, or goes with; null for the first.</param>
/// <param name="Reason">Why it is in the group.</param>
public sealed record FlagGroupItem(string Group, string? Activity, string Flag, string? Follows, string Reason);

/// <summary>A comment that mentions the person who asks.</summary>
/// <param name="Flag">The flag.</param>
/// <param name="Time">When, wall clock.</param>
/// <param name="Actor">Who wrote it.</param>
/// <param name="Comment">The comment.</param>
/// <param name="Message">The flag's sentence.</param>
/// <param name="State">The flag's state.</param>
public sealed record FlagMentionItem(string Flag, Instant Time, string Actor, string Comment, string Message, string State);

/// <summary>Flags: list, detail, groups; what people do with them is <see cref="FlagStepsApi"/>.</summary>
public static class FlagsApi
{
    // Chosen: as many as a person reads back.
    private const int MostMentions = 200;

    /// <summary>Adds the calls.</summary>
    public static void MapFlags(this IEndpointRouteBuilder api)
    {
        var flags = api.MapGroup("/flags").WithTags("Flags");
        flags.MapGet("", (
            [AsParameters] ListQuery query,
            [FromQuery(Name = "state"), Description("raised, taken, explained, settled, reopened or withdrawn. Default: all.")] string? state,
            [FromQuery(Name = "severity"), Description("notice, warning or critical. Default: all.")] string? severity,
            [FromQuery(Name = "rule"), Description("A rule's id. Default: all.")] string? rule, Stores stores) =>
        {
            var range = query.Read();
            var (inState, ofSeverity) = (WordParameter.Read<LifeState>("state", state), WordParameter.Read<FlagSeverity>("severity", severity));
            return stores.Flags.List(range.From, range.To, range.Limit, range.Next, inState is { } s ? ApiWords.Of(s) : null, ofSeverity is { } v ? ApiWords.Of(v) : null,
                string.IsNullOrEmpty(rule) ? null : rule).Answer(FlagItem.Of);
        }).WithName("getFlags").WithSummary("Flags that touch [from, to), withdrawn ones included, in the order of their start.");
        flags.MapGet("/newest", (
            [AsParameters] ListQuery query,
            [FromQuery(Name = "q"), Description("Letters of the message, rule or subject; the number of an orbit that it touches; an id, or the address of a flag's page: that flag, even if it is withdrawn. Default: all.")] string? words, Stores stores) =>
        {
            var range = query.Read();
            return FlagSearch.Find(stores.Flags, range, words).Answer(FlagItem.Of);
        }).WithName("getNewestFlags").WithSummary("Flags that stand and touch [from, to), the newest start first; searched by words.");
        flags.MapGet("/groups", ([AsParameters] ListQuery query, FlagGroups groups, PipelineEngine engine) =>
        {
            var range = query.Read();
            var mission = engine.Mission ?? throw ApiProblems.Conflict("The mission is still being opened; ask again in a moment.");
            var items = groups.Between(mission, range.From, range.To).SelectMany(g => g.Members.Select(m => new FlagGroupItem(g.Key, g.Activity, m.Id, m.Cause, m.Reason))).ToList();
            return Page.Of(items, range.Limit, range.Next).Answer(item => item);
        }).WithName("getFlagGroups").WithSummary("Standing flags that begin in [from, to), grouped by likely cause: time overlap, shared orbits, known chains. Advice only.");
        flags.MapGet("/mentions", async ([AsParameters] ListQuery query, Stores stores, ICurrentActor actor) =>
        {
            var range = query.Read();
            var name = (await actor.GetAsync()).Name;
            var items = stores.FlagTalk.Mentions(name, MostMentions).Where(m => m.Time >= range.From && m.Time < range.To).ToList();
            return Page.Of(items, range.Limit, range.Next).Answer(m => new FlagMentionItem(m.Flag, m.Time, m.Actor, m.Note, m.Message, m.State));
        }).WithName("getFlagMentions").WithSummary("Comments that mention you, newest first; from and to are wall clock.");
        flags.MapGet("/{id}", (string id, Stores stores) => Detail(id, stores)).WithName("getFlag")
            .Produces<FlagDetail>().ProducesProblem(StatusCodes.Status404NotFound).WithSummary("A flag with its evidence, its life and its history.");
        flags.MapFlagSteps();
    }

    /// <summary>The answer with a flag's detail.</summary>
    internal static IResult Detail(string id, Stores stores) =>
        stores.Flags.Get(id) is { } flag ? TypedResults.Json(FlagDetail.Of(flag, stores), ApiJson.Options) : throw ApiProblems.NotFound("flag", id);
}
