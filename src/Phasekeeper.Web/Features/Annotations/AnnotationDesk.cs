using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Annotations;

/// <summary>A note as it is asked for.</summary>
/// <param name="From">Start, mission time.</param>
/// <param name="To">End; the same for an instant.</param>
/// <param name="Text">The words.</param>
/// <param name="View">View that it speaks of; null = none alone.</param>
/// <param name="Line">Line that it speaks of; null = none alone.</param>
/// <param name="Channel">Channel that it speaks of; null = none alone.</param>
public sealed record AnnotationRequest(Instant From, Instant To, string? Text, string? View = null, string? Line = null, string? Channel = null);

/// <summary>Pins notes to stretches of mission time and retires them, each with its entry in the record.</summary>
public sealed class AnnotationDesk(Stores stores, ChangeFeed changes, TimeProvider clock)
{
    /// <summary>Longest text, characters (chosen: two sentences; what needs more belongs to a flag).</summary>
    public const int LongestText = 300;

    // Chosen: names of views, lines and channels are shorter in any telemetry definition.
    private const int LongestName = 200;

    /// <summary>Pins a note; gives its id.</summary>
    /// <exception cref="RequestRefusedException">The text is empty or too long, or the stretch is none.</exception>
    public async Task<long> AddAsync(AnnotationRequest asked, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(asked);
        ArgumentNullException.ThrowIfNull(actor);
        var text = (asked.Text ?? "").Trim();
        if (text.Length is 0 or > LongestText || text.Any(char.IsControl)) throw new RequestRefusedException($"The note has {text.Length} characters; expected 1 to {LongestText} on one line.");
        if (asked.To < asked.From) throw new RequestRefusedException($"The note ends at {asked.To}, before it begins at {asked.From}; expected an end at or after its start.");
        if (asked.To - asked.From > AnnotationStore.LongestS)
            throw new RequestRefusedException($"The note spans {(asked.To - asked.From) / 86400:0.0} days; expected at most {AnnotationStore.LongestS / 86400:0}. Pin it to its start, or to a shorter stretch.");
        if (new[] { asked.View, asked.Line, asked.Channel }.Any(name => name?.Length > LongestName)) throw new RequestRefusedException($"View, line or channel has more than {LongestName} characters; expected a name.");
        var now = Now();
        var row = new AnnotationRow { From = asked.From, To = asked.To, Text = text, View = Given(asked.View), Line = Given(asked.Line), Channel = Given(asked.Channel), Actor = actor.Name, Time = now };
        var id = await stores.Database.WriteAsync(t =>
        {
            var added = AnnotationStore.Add(t, row);
            RecordStore.Append(t, actor, RecordKinds.AnnotationAdd, Subject(added), null, Told(row), null, now);
            return added;
        }, cancel);
        Tell(id);
        return id;
    }

    /// <summary>Retires a note.</summary>
    /// <exception cref="KeyNotFoundException">There is none of that id.</exception>
    /// <exception cref="RequestRefusedException">It is retired already.</exception>
    public async Task RetireAsync(long id, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(actor);
        var now = Now();
        await stores.Database.WriteAsync(t =>
        {
            var row = AnnotationStore.Get(t, id) ?? throw new KeyNotFoundException($"There is no note {id}.");
            if (!AnnotationStore.Retire(t, id, actor.Name, now)) throw new RequestRefusedException($"The note {id} was retired by {row.RetiredBy} at {row.Retired}.");
            return RecordStore.Append(t, actor, RecordKinds.AnnotationRetire, Subject(id), Told(row), null, null, now);
        }, cancel);
        Tell(id);
    }

    private static string Subject(long id) => FormattableString.Invariant($"note {id}");

    private static object Told(AnnotationRow row) => new { row.From, row.To, row.Text, row.View, row.Line, row.Channel };

    private static string? Given(string? name) => string.IsNullOrWhiteSpace(name) ? null : name.Trim();

    private Instant Now() => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);

    private void Tell(long id)
    {
        changes.Publish(ChangeKind.Annotation, id);
        changes.Publish(ChangeKind.Record);
    }
}
