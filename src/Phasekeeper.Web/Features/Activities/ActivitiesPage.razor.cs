using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Activities;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Activities;

/// <summary>Planned activities: list, one of them, entering and changing, calendars. What is shown is in the address.</summary>
public sealed partial class ActivitiesPage(Stores stores, ActivityDesk desk)
{
    private IReadOnlyList<ActivityEntry> all = [], shown = [];
    private IReadOnlyList<ActivityVersionRow> history = [];
    private ActivityEntry? chosen;
    private Instant? missionTime;
    private string? when, kind;
    private IReadOnlyList<string> kindIds = [];

    /// <summary>running, coming, past or cancelled; absent = all.</summary>
    [SupplyParameterFromQuery]
    public string? When { get; set; }

    /// <summary>Id of a kind; absent = all.</summary>
    [SupplyParameterFromQuery]
    public string? Kind { get; set; }

    /// <summary>The activity that is looked at; absent = none.</summary>
    [SupplyParameterFromQuery]
    public string? Id { get; set; }

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Activities or ChangeKind.Auxiliary or ChangeKind.Ingest;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        ArgumentNullException.ThrowIfNull(address);
        kindIds = [.. desk.Kinds.All.Select(k => k.Id)];
        when = address.Word("when", When, ActivityWhen.All, "Activities of all times are shown");
        kind = address.Word("kind", Kind, kindIds, "Activities of all kinds are shown");
        var plan = desk.Plans.Current();
        var one = string.IsNullOrEmpty(Id) ? null : plan.Find(Id);
        if (one is null && !string.IsNullOrEmpty(Id)) address.Note("id", Id, "the id of an activity", "None is opened");
        return () =>
        {
            var now = stores.Archive.LastPacketTime;
            var matching = plan.Entries.Where(e => (when is null || ActivityWhen.Of(e, now) == when) && (kind is null || e.Activity.Kind.Id == kind)).Reverse().ToArray();
            var versions = one is null ? [] : stores.Activities.History(one.Id);
            return () => (all, shown, chosen, history, missionTime) = (plan.Entries, matching, one, versions, now);
        };
    }

    private async Task DoneAsync(string? id)
    {
        if (id is not null && id != Id) Navigation.NavigateTo(With("id", id));
        else await LoadAsync();
    }

    private string With(string name, string? value) => Navigation.GetUriWithQueryParameter(name, value);

    private string KindTitle(string id) => desk.Kinds.Find(id)?.Title ?? id;

    private static string Source(ActivityEntry e) => (e.Version, e.Calendar) switch
    {
        ({ } v, null) => $"entered here, last by {v.Actor}",
        ({ } v, { } file) => $"{file}, changed here by {v.Actor}",
        (null, var file) => file ?? "",
    };

    private static string Topics(PlannedActivity a) => a.ExpectedTopics.Count == 0 ? "none" : string.Join(", ", a.ExpectedTopics.Select(ActivityTopics.Title)) + (a.Expects is null ? "" : " (as stated for this one)");

    private static string WindsOf(ActivityKind kind) => kind.Winds switch
    {
        WindDoubt.Always => "doubtful while it runs",
        WindDoubt.WithoutAttitudeFile => "doubtful while it runs, unless an attitude file tells where the satellite looked",
        _ => "not touched by it",
    };
}
