using System.Data;
using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Profile;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Activities;

/// <summary>Entering, changing and cancelling activities: the one road of page and API. Every step reads, checks and writes in one transaction, so of two at once the second sees the first.</summary>
public sealed class ActivityDesk(Stores stores, MissionProfile profile, ChangeFeed changes, TimeProvider clock)
{
    /// <summary>The plan of activities.</summary>
    public ActivityPlans Plans { get; } = new(stores, profile, new AuxiliaryReader(stores, profile));

    /// <summary>The mission's kinds.</summary>
    public ActivityKinds Kinds => profile.ActivityKinds;

    /// <summary>Enters an activity; gives it.</summary>
    /// <exception cref="ActivityRefusedException">Something in it is wrong.</exception>
    public Task<ActivityEntry> AddAsync(ActivityDraft draft, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(draft);
        var right = draft.Checked(profile);
        // A UID of its own, unique in the world (RFC 7986, section 5.3).
        var id = Guid.CreateVersion7().ToString();
        return WriteAsync(t => Write(t, id, null, right, ActivityVersionRow.Planned, 0, actor, RecordKinds.ActivityAdd), cancel);
    }

    /// <summary>Changes an activity, also one that was cancelled: then it is planned again.</summary>
    /// <param name="id">The activity.</param>
    /// <param name="revision">Revision that the person saw.</param>
    /// <param name="draft">What it is to be.</param>
    /// <param name="actor">Who.</param>
    /// <param name="cancel">Ends the wait.</param>
    /// <exception cref="KeyNotFoundException">There is no such activity.</exception>
    /// <exception cref="ActivityConflictException">It is no longer what the person saw.</exception>
    /// <exception cref="ActivityRefusedException">Something is wrong.</exception>
    public Task<ActivityEntry> ChangeAsync(string id, string revision, ActivityDraft draft, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(draft);
        var right = draft.Checked(profile);
        return WriteAsync(t =>
        {
            var before = Seen(t, id, revision);
            return Write(t, id, before, right, ActivityVersionRow.Planned, before.Sequence + 1, actor, RecordKinds.ActivityChange);
        }, cancel);
    }

    /// <summary>Cancels an activity; it stays to be seen.</summary>
    /// <exception cref="KeyNotFoundException">There is no such activity.</exception>
    /// <exception cref="ActivityConflictException">It is no longer what the person saw.</exception>
    /// <exception cref="ActivityRefusedException">It is cancelled already.</exception>
    public Task<ActivityEntry> CancelAsync(string id, string revision, string? reason, Actor actor, CancellationToken cancel = default)
    {
        var why = ActivityDraft.Text("reason", reason);
        return WriteAsync(t =>
        {
            var before = Seen(t, id, revision);
            if (before.IsCancelled) throw new ActivityRefusedException($"The activity \"{before.Activity.Summary}\" is cancelled already.");
            var a = before.Activity;
            var same = new ActivityDraft(a.Kind.Id, a.Summary, a.From, a.To, a.Description ?? "", a.Expects is null ? null : [.. a.Expects.Select(ActivityTopics.Word)], why);
            return Write(t, id, before, same, ActivityVersionRow.Cancelled, before.Sequence + 1, actor, RecordKinds.ActivityCancel);
        }, cancel);
    }

    private async Task<ActivityEntry> WriteAsync(Func<IDbTransaction, ActivityEntry> write, CancellationToken cancel)
    {
        var entry = await stores.Database.WriteAsync(write, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Activities, entry.Version!.Id);
        return entry;
    }

    // Versions as the transaction sees them; calendars are only taken up by the engine, in transactions of their own.
    private ActivityEntry Seen(IDbTransaction transaction, string id, string revision)
    {
        var now = Plans.With(ActivityStore.Versions(transaction)).Find(id)
            ?? throw new KeyNotFoundException($"There is no activity with the id '{id}'. Activities are never deleted; look at the list of activities for its id.");
        if (now.Revision == revision) return now;
        var who = now.Version is { } v ? $"{v.Actor} changed it at {v.Time}" : $"the calendar {now.Calendar} changed it";
        throw new ActivityConflictException($"Since you saw it, {who}: it is now \"{now.Activity.Summary}\", {now.Activity.Kind.Title}, {now.Activity.From} to {now.Activity.To}{(now.IsCancelled ? ", cancelled" : "")}. "
            + $"Nothing was changed. Look at what it is now, and send your change again with the revision '{now.Revision}'.", now);
    }

    private ActivityEntry Write(IDbTransaction transaction, string id, ActivityEntry? before, ActivityDraft draft, string status, int sequence, Actor actor, string what)
    {
        ArgumentNullException.ThrowIfNull(actor);
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        ActivityStore.Add(transaction, new()
        {
            Activity = id,
            Kind = draft.Kind,
            Title = draft.Title,
            From = draft.From,
            To = draft.To,
            Note = draft.Note ?? "",
            Expects = draft.Expects is null ? null : string.Join(',', draft.Expects),
            Status = status,
            Sequence = sequence,
            Actor = actor.Name,
            Role = actor.Role,
            Time = now,
            Reason = draft.Reason ?? "",
        });
        var after = Plans.With(ActivityStore.Versions(transaction)).Find(id)!;
        RecordStore.Append(transaction, actor, what, id, before is null ? null : Shown(before), Shown(after), draft.Reason, now);
        EventStore.Add(transaction, now, "activity", id, $"{actor.Name} {(what == RecordKinds.ActivityAdd ? "entered" : what == RecordKinds.ActivityCancel ? "cancelled" : "changed")} the planned activity \"{draft.Title}\".");
        return after;
    }

    private static object Shown(ActivityEntry e) => new
    {
        Kind = e.Activity.Kind.Id,
        Title = e.Activity.Summary,
        From = e.Activity.From.ToString(),
        To = e.Activity.To.ToString(),
        Note = e.Activity.Description,
        Expects = e.Activity.Expects?.Select(ActivityTopics.Word).ToArray(),
        e.IsCancelled,
        e.Sequence,
        e.Calendar,
    };
}
