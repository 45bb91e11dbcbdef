using System.Globalization;
using Phasekeeper.Core.Flags.Rehearsal;
using Phasekeeper.Core.Text;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Thresholds;

/// <summary>An event to note.</summary>
/// <param name="Rule">Id of the rule that should find it.</param>
/// <param name="From">Start.</param>
/// <param name="To">End, after the start.</param>
/// <param name="What">What happened, in a few words.</param>
/// <param name="Note">How it is known; null = nothing said.</param>
public sealed record KnownEventNote(string? Rule, Instant? From, Instant? To, string? What, string? Note);

/// <summary>Events that the team has confirmed: noted here by hand, or as flags that were settled with a cause.</summary>
public sealed class KnownEvents(Stores stores, PipelineEngine engine, ChangeFeed changes, TimeProvider clock)
{
    /// <summary>Longest name, characters (chosen: a line).</summary>
    public const int LongestWhat = 200;

    private Instant Now => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);

    /// <summary>Notes an event; gives its number.</summary>
    /// <exception cref="DecisionRefusedException">It cannot be noted.</exception>
    public async Task<long> NoteAsync(KnownEventNote note, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(note);
        ArgumentNullException.ThrowIfNull(actor);
        Check(actor);
        var mission = engine.Mission ?? throw new DecisionRefusedException(RefusalKind.Conflict, "The mission is being opened; try again in a moment.");
        if (mission.Rules.Find(note.Rule ?? "") is null) throw Invalid($"rule: found '{note.Rule}'; expected the id of a rule: {string.Join(", ", mission.Rules.Rules.Select(r => r.Id))}.");
        if (note.From is not { } from || note.To is not { } to || to <= from) throw Invalid($"from, to: found {note.From?.ToString() ?? "nothing"} and {note.To?.ToString() ?? "nothing"}; expected two times, the second after the first.");
        var what = note.What?.Trim() ?? "";
        if (what.Length is 0 or > LongestWhat) throw Invalid($"what: found {what.Length} characters; expected 1 to {LongestWhat}: what happened, in a few words.");
        if (!WholeText.Is(what) || !WholeText.Is(note.Note ?? "")) throw Invalid($"what, note: found a text with {WholeText.Found}; expected {WholeText.Expected}.");
        if (note.Note?.Length > RuleDesk.LongestReason) throw Invalid($"note: found {note.Note.Length} characters; expected up to {RuleDesk.LongestReason}.");
        var row = new KnownEventRow { Rule = note.Rule!, From = from, To = to, What = what, Note = note.Note?.Trim() ?? "", Actor = actor.Name, Role = actor.Role, Time = Now };
        var id = await stores.Database.WriteAsync(t =>
        {
            var added = KnownEventStore.Add(t, row);
            RecordStore.Append(t, actor, RecordKinds.EventNote, row.Rule, null, new { Event = added, From = row.From.ToString(), To = row.To.ToString(), row.What, row.Note }, row.What, row.Time);
            return added;
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Rules);
        return id;
    }

    /// <summary>Withdraws an event that was noted wrongly; it stays on record.</summary>
    /// <exception cref="DecisionRefusedException">There is none, or no reason.</exception>
    public async Task WithdrawAsync(long id, string? reason, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(actor);
        Check(actor);
        var why = DecisionReason.Of(reason);
        var now = Now;
        await stores.Database.WriteAsync(t =>
        {
            var known = KnownEventStore.Get(t, id) ?? throw new DecisionRefusedException(RefusalKind.Missing, $"There is no known event {id}, or it is withdrawn.");
            if (!KnownEventStore.Withdraw(t, id, actor, now, why)) throw new DecisionRefusedException(RefusalKind.Conflict, $"The known event {id} is withdrawn already.");
            RecordStore.Append(t, actor, RecordKinds.EventWithdraw, known.Rule, new { Event = id, known.What }, null, why, now);
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Rules);
    }

    /// <summary>All that is confirmed about a rule over some orbits: its flags that people settled with a cause, and what was noted by hand.</summary>
    public static IReadOnlyList<RehearsalEvent> Of(Stores stores, string rule, int firstOrbit, int lastOrbit)
    {
        ArgumentNullException.ThrowIfNull(stores);
        var settled = stores.Flags.OfRule(rule, firstOrbit, lastOrbit).Where(f => f.State == "settled")
            .Select(f => (Row: f, Truth: RehearsalEvent.TruthOf(f.Cause))).Where(f => f.Truth is not null)
            .Select(f => new RehearsalEvent(f.Row.Id, f.Row.Cause!, f.Truth!.Value, new(rule, f.Row.Subject, f.Row.View, f.Row.Line), f.Row.From, f.Row.To, f.Row.FirstOrbit ?? 0, f.Row.LastOrbit ?? 0));
        var noted = stores.KnownEvents.List(rule, Instant.MinValue, Instant.MaxValue).Select(e => (Event: e, Own: stores.Orbits.Touching(e.From, e.To)))
            .Where(e => e.Own.Count > 0 && e.Own[0].Orbit <= lastOrbit && e.Own[^1].Orbit >= firstOrbit)
            .Select(e => new RehearsalEvent(string.Create(CultureInfo.InvariantCulture, $"noted-{e.Event.Id}"), e.Event.What, EventTruth.Real, null, e.Event.From, e.Event.To, e.Own[0].Orbit, e.Own[^1].Orbit));
        return [.. settled.Concat(noted).OrderBy(e => e.From).ThenBy(e => e.Id, StringComparer.Ordinal)];
    }

    private static void Check(Actor actor)
    {
        if (!Roles.Covers(actor.Role, Roles.Analyst)) throw new DecisionRefusedException(RefusalKind.Forbidden, $"Found the role '{actor.Role}'; known events are noted by an {Roles.Analyst}, {Roles.CalibrationLead} or {Roles.Administrator}.");
    }

    private static DecisionRefusedException Invalid(string message) => new(RefusalKind.Invalid, message);
}
