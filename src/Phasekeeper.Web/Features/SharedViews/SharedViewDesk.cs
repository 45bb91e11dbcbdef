using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.SharedViews;

/// <summary>Someone was faster: the view is not as the caller saw it.</summary>
public sealed class ViewMovedException(string message) : InvalidOperationException(message);

/// <summary>Saves states of pages for the team, renames and retires them, each with its entry in the record.</summary>
public sealed class SharedViewDesk(Stores stores, ChangeFeed changes, TimeProvider clock)
{
    /// <summary>Longest name, characters (chosen: a line of a list).</summary>
    public const int LongestName = 80;

    /// <summary>Longest note, characters (chosen: two or three sentences).</summary>
    public const int LongestNote = 500;

    /// <summary>Saves the state of a page; gives the view's id.</summary>
    /// <exception cref="RequestRefusedException">Name, note or address are not as they must be, or the name is taken.</exception>
    public async Task<long> SaveAsync(string? name, string? note, string? address, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(actor);
        var now = Now();
        var view = new SharedViewRow { Name = Name(name), Note = Note(note), Address = PageAddress.Check(address), Actor = actor.Name, Time = now, ChangedBy = actor.Name, Changed = now };
        var id = await stores.Database.WriteAsync(t =>
        {
            var added = SharedViewStore.Add(t, view) ?? throw Taken(view.Name);
            RecordStore.Append(t, actor, RecordKinds.ViewSave, view.Name, null, Told(view), null, now);
            return added;
        }, cancel);
        Tell(id);
        return id;
    }

    /// <summary>Gives a view another name or note.</summary>
    /// <param name="id">The view.</param>
    /// <param name="revision">Revision that the caller saw; null = whatever it is.</param>
    /// <param name="name">Its name from now on.</param>
    /// <param name="note">Its note from now on.</param>
    /// <param name="actor">Who.</param>
    /// <param name="cancel">Stops it.</param>
    /// <exception cref="KeyNotFoundException">No such view.</exception>
    /// <exception cref="ViewMovedException">It was changed or retired meanwhile.</exception>
    /// <exception cref="RequestRefusedException">Name or note are not as they must be, or the name is taken.</exception>
    public Task RenameAsync(long id, long? revision, string? name, string? note, Actor actor, CancellationToken cancel = default)
    {
        var (newName, newNote) = (Name(name), Note(note));
        return ChangeAsync(id, revision, actor, RecordKinds.ViewRename, (view, _) => view with { Name = newName, Note = newNote }, cancel);
    }

    /// <summary>Retires a view: it is kept, and no list shows it any more.</summary>
    /// <exception cref="KeyNotFoundException">No such view.</exception>
    /// <exception cref="ViewMovedException">It was changed or retired meanwhile.</exception>
    public Task RetireAsync(long id, long? revision, Actor actor, CancellationToken cancel = default) =>
        ChangeAsync(id, revision, actor, RecordKinds.ViewRetire, (view, now) => view with { Retired = now }, cancel);

    private async Task ChangeAsync(long id, long? revision, Actor actor, string kind, Func<SharedViewRow, Instant, SharedViewRow> change, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(actor);
        var now = Now();
        await stores.Database.WriteAsync(t =>
        {
            var before = SharedViewStore.Get(t, id) ?? throw new KeyNotFoundException($"There is no shared view {id}.");
            if (before.Retired is not null) throw new ViewMovedException($"The view “{before.Name}” was retired by {before.ChangedBy} at {before.Changed}.");
            if (revision is { } saw && saw != before.Revision)
                throw new ViewMovedException($"The view “{before.Name}” was changed by {before.ChangedBy} at {before.Changed}, after you had read it (revision {saw}, now {before.Revision}). Look at it again, and send it again if you still want to.");
            var after = change(before, now) with { Revision = before.Revision + 1, ChangedBy = actor.Name, Changed = now };
            if (!SharedViewStore.Change(t, after)) throw Taken(after.Name);
            return RecordStore.Append(t, actor, kind, before.Name, Told(before), after.Retired is null ? Told(after) : null, null, now);
        }, cancel);
        Tell(id);
    }

    private static string Name(string? name)
    {
        var text = (name ?? "").Trim();
        return text.Length is > 0 and <= LongestName && !text.Any(char.IsControl) ? text : throw new RequestRefusedException($"The name has {text.Length} characters; expected 1 to {LongestName} on one line.");
    }

    private static string Note(string? note)
    {
        var text = (note ?? "").Trim();
        return text.Length <= LongestNote ? text : throw new RequestRefusedException($"The note has {text.Length} characters; expected at most {LongestNote}.");
    }

    private static RequestRefusedException Taken(string name) => new($"Another shared view is called “{name}” (capitals do not count); expected a name that is free.");

    private static object Told(SharedViewRow view) => new { view.Name, view.Note, view.Address };

    private Instant Now() => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);

    private void Tell(long id)
    {
        changes.Publish(ChangeKind.SharedView, id);
        changes.Publish(ChangeKind.Record);
    }
}
