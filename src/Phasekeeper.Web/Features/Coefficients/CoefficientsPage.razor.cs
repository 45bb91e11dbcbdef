using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>The numbers that turn telemetry into winds: in force, proposed, decided, and what decisions change.</summary>
public sealed partial class CoefficientsPage(Stores stores, CoefficientDesk desk)
{
    private readonly CoefficientsQueries queries = new(stores);
    private readonly FormerWindComparison former = new(stores);
    private CoefficientsView? view;

    /// <summary>Number of the set from which differences are told.</summary>
    [SupplyParameterFromQuery(Name = "before")]
    public string? BeforeText { get; set; }

    /// <summary>Number of the set to which they are told.</summary>
    [SupplyParameterFromQuery(Name = "after")]
    public string? AfterText { get; set; }

    /// <summary>Decision whose winds of before are compared.</summary>
    [SupplyParameterFromQuery(Name = "decision")]
    public string? DecisionText { get; set; }

    /// <summary>UTC day that is compared.</summary>
    [SupplyParameterFromQuery(Name = "day")]
    public string? DayText { get; set; }

    /// <summary>How changes are grouped.</summary>
    [SupplyParameterFromQuery(Name = "by")]
    public string? ByText { get; set; }

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Coefficients or ChangeKind.Evidence or ChangeKind.Auxiliary;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        var mission = Mission!;
        var before = address.Whole("before", BeforeText, 1, long.MaxValue, "The set in force before the newest is shown");
        var after = address.Whole("after", AfterText, 1, long.MaxValue, "The newest set is shown");
        var decision = address.Whole("decision", DecisionText, 1, long.MaxValue, "The newest decision is shown");
        var by = address.Word("by", ByText, WindChangeGroups.Ways, "Views are shown") ?? WindChangeGroups.ByView;
        var day = address.Day("day", DayText, _ => true, "The newest day is shown");
        return () =>
        {
            var loaded = Read(mission, address, before, after, decision, by, day);
            return () => view = loaded;
        };
    }

    private CoefficientsView Read(MissionState mission, AddressReader address, long? before, long? after, long? decision, string by, DateOnly? day)
    {
        var sets = queries.Sets(mission);
        var timeline = queries.Timeline(mission);
        var now = timeline.At(stores.Archive.LastPacketTime ?? Instant.MaxValue.AddSeconds(-1)) ?? (timeline.Count > 0 ? timeline[^1] : null);
        (before, after) = (Known("before", BeforeText, before, "The set in force before the newest is shown"), Known("after", AfterText, after, "The newest set is shown"));
        after ??= sets.Count > 0 ? sets[^1].Id : null;
        before ??= sets.FirstOrDefault(s => s.Id == after)?.Against;
        var reprocessing = queries.Reprocessing();
        var kept = reprocessing.Where(r => r.Retired is null && former.Days(r.Decision).Count > 0).ToList();
        if (decision is { } wanted && kept.FindIndex(r => r.Decision == wanted) is var at)
        {
            if (at < 0) address.Note("decision", DecisionText!, "a decision of which winds of before are kept", kept.Count > 0 ? "The newest decision is shown" : "There is none");
            else (kept[0], kept[at]) = (kept[at], kept[0]);
        }
        var days = kept.Count > 0 ? former.Days(kept[0].Decision) : [];
        if (day is { } asked && !days.Contains(asked)) address.Note("day", DayText!, "a day of which winds of before are kept", days.Count > 0 ? "The newest day is shown" : "There is none");
        DateOnly? chosen = day is { } d && days.Contains(d) ? d : days.Count > 0 ? days[^1] : null;
        var comparison = chosen is { } c ? former.Day(kept[0].Decision, c) : null;
        return new()
        {
            Sets = sets,
            Timeline = timeline,
            Now = sets.FirstOrDefault(s => s.Id == now?.SetId),
            NowFrom = now?.From is { } from && from > Instant.MinValue ? from : null,
            Outlooks = sets.Where(s => s.State == CoefficientDecision.Proposed).ToDictionary(s => s.Id, s => Outlook(s.Id)),
            Reprocessing = reprocessing,
            Paused = stores.Reprocessing.IsPaused,
            TakingUp = stores.Work.Peek(WorkKinds.TakeUpDecision, 1).Count > 0,
            OldDays = queries.OldDays(mission),
            Before = before,
            After = after,
            Differences = before is { } a && after is { } b ? queries.Differences(a, b, mission) ?? [] : [],
            Kept = kept,
            Days = days,
            Day = chosen,
            By = by,
            Groups = comparison is null ? [] : WindChangeGroups.Of(comparison.Changes, by),
            Comparison = comparison,
        };

        long? Known(string name, string? text, long? id, string instead)
        {
            if (id is null || sets.Any(s => s.Id == id)) return id;
            address.Note(name, text!, "the number of a set", instead);
            return null;
        }
    }

    private DecisionOutcome? Outlook(long id)
    {
        try
        {
            return desk.Outlook(id, new());
        }
        catch (DecisionRefusedException)
        {
            // Its validity names no orbit to begin with: the form asks for one, and says why when it is sent.
            return null;
        }
    }

    private static string Since(Instant? from) => from is { } time ? UtcText.DateAndTime(time) + " UTC" : "the beginning";

    private static string WhoAndWhy(CoefficientSetItem set) => set.Decisions.LastOrDefault(d => CoefficientDecision.PutsInForce(d.Decision)) is { } d
        ? string.Create(CultureInfo.InvariantCulture, $"{d.Decision} by {d.Actor}, {UtcText.DateAndMinute(d.Time)} UTC: {d.Note}") : "–";
}
