using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients;

/// <summary>What people do with reprocessing: hold it, let it go on, and give up the winds of before. All of it is on record, and holds over a restart.</summary>
public sealed class ReprocessingControl(Stores stores, ChangeFeed changes, TimeProvider clock)
{
    private const string Subject = "reprocessing";

    /// <summary>Holds reprocessing: orbits in work are finished, no other begins.</summary>
    public Task PauseAsync(Actor actor, string? reason, CancellationToken cancel = default) => SetPausedAsync(true, actor, reason, cancel);

    /// <summary>Lets reprocessing go on.</summary>
    public Task ResumeAsync(Actor actor, string? reason, CancellationToken cancel = default) => SetPausedAsync(false, actor, reason, cancel);

    /// <summary>Gives up the winds of before a decision; gives the number of profiles.</summary>
    /// <exception cref="DecisionRefusedException">Not by this person, without a reason, or not yet.</exception>
    public async Task<int> RetireAsync(long decision, Actor actor, string? reason, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(actor);
        Permit(actor);
        if (string.IsNullOrWhiteSpace(reason)) throw new DecisionRefusedException(RefusalKind.Invalid, "Found no reason; expected some words on why the winds of before are not needed any more.");
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        var count = await stores.Database.WriteAsync(t =>
        {
            var row = ReprocessingStore.Get(t, decision) ?? throw new DecisionRefusedException(RefusalKind.Missing, $"No reprocessing follows from a decision with the number {decision}.");
            if (row.Retired is not null) throw new DecisionRefusedException(RefusalKind.Conflict, $"The winds of before decision {decision} were given up already, by {row.RetiredBy}.");
            if (row.Finished is null) throw new DecisionRefusedException(RefusalKind.Conflict, $"{row.Waiting + row.Working} orbits are still to be made again; compare and retire when all are through.");
            ReprocessingStore.SetRetired(t, decision, actor.Name, reason.Trim(), now);
            var given = FormerWindStore.Retire(t, decision);
            RecordStore.Append(t, actor, RecordKinds.ReprocessingRetire, $"decision {decision}", new { Profiles = given }, null, reason, now);
            return given;
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Coefficients);
        return count;
    }

    private async Task SetPausedAsync(bool pause, Actor actor, string? reason, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(actor);
        Permit(actor);
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            if (ReprocessingStore.IsPausedIn(t) == pause) return;
            ReprocessingStore.SetPaused(t, pause);
            // The mark is what the engine goes by; whoever asks whether everything is processed does not wait for what is held.
            if (pause) WorkQueue.Unmark(t, WorkKinds.Reprocess, 0);
            else if (ReprocessingStore.AnyOrbit(t)) WorkQueue.Mark(t, WorkKinds.Reprocess, 0, now);
            RecordStore.Append(t, actor, pause ? RecordKinds.ReprocessingPause : RecordKinds.ReprocessingResume, Subject, new { Paused = !pause }, new { Paused = pause }, reason, now);
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Coefficients);
    }

    // One rule for pages, API and every other road.
    private static void Permit(Actor actor)
    {
        if (!Roles.Covers(actor.Role, Roles.CalibrationLead)) throw new DecisionRefusedException(RefusalKind.Forbidden, $"Found the role '{actor.Role}'; this needs the role {Roles.CalibrationLead}.");
    }
}
