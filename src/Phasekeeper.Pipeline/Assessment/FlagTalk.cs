using System.Data;
using System.Text;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>Comments, links and plots that people put beside flags. They are only added to what is there, so they name no revision and refuse nobody's step; withdrawn and settled flags take them too.</summary>
public sealed class FlagTalk(Stores stores, ChangeFeed changes, TimeProvider clock)
{
    /// <summary>Largest plot document, bytes of JSON (chosen: a plot of 4000 columns with a dozen traces is half of it).</summary>
    public const int LargestDocument = 4 * 1024 * 1024;

    /// <summary>Longest comment, characters.</summary>
    public const int LongestComment = LifeStep.LongestNote;

    /// <summary>Adds a comment; gives the people that it mentions.</summary>
    /// <exception cref="KeyNotFoundException">No such flag.</exception>
    /// <exception cref="FlagRefusedException">Empty, too long, or it mentions somebody who is not here.</exception>
    public Task<IReadOnlyList<string>> CommentAsync(string id, string? text, Actor actor, FlagTeam team, CancellationToken cancel = default)
    {
        var words = Words(text, "comment") ?? throw new FlagRefusedException("The comment is empty; write something.");
        return WriteAsync(id, actor, (t, flag, now) =>
        {
            var mentioned = team.MentionedIn(words);
            var step = Add(t, flag, FlagStepWords.Comment, actor, words, now);
            foreach (var person in mentioned) FlagTalkStore.Mention(t, id, step, person);
            RecordStore.Append(t, actor, RecordKinds.FlagComment, id, null, new { Comment = words, Mentions = mentioned }, null, now);
            return mentioned;
        }, cancel);
    }

    /// <summary>Links two flags.</summary>
    /// <exception cref="KeyNotFoundException">No such flag.</exception>
    /// <exception cref="FlagRefusedException">They are one, or linked already.</exception>
    public Task LinkAsync(string id, string? other, Actor actor, CancellationToken cancel = default) => WriteAsync(id, actor, (t, flag, now) =>
    {
        var with = Other(t, id, other);
        if (!FlagTalkStore.Link(t, id, with.Id, actor.Name, now)) throw new FlagRefusedException($"The flags {id} and {with.Id} are linked already.");
        Add(t, flag, FlagStepWords.Link, actor, with.Message, now, with.Id);
        Add(t, with, FlagStepWords.Link, actor, flag.Message, now, id);
        RecordStore.Append(t, actor, RecordKinds.FlagLink, id, null, new { Other = with.Id, with.Message }, null, now);
        return true;
    }, cancel);

    /// <summary>Takes a link away.</summary>
    /// <exception cref="KeyNotFoundException">No such flag.</exception>
    /// <exception cref="FlagRefusedException">They are not linked.</exception>
    public Task UnlinkAsync(string id, string? other, Actor actor, CancellationToken cancel = default) => WriteAsync(id, actor, (t, flag, now) =>
    {
        var with = Other(t, id, other);
        if (!FlagTalkStore.Unlink(t, id, with.Id)) throw new FlagRefusedException($"The flags {id} and {with.Id} are not linked.");
        Add(t, flag, FlagStepWords.Unlink, actor, with.Message, now, with.Id);
        Add(t, with, FlagStepWords.Unlink, actor, flag.Message, now, id);
        RecordStore.Append(t, actor, RecordKinds.FlagUnlink, id, new { Other = with.Id, with.Message }, null, null, now);
        return true;
    }, cancel);

    /// <summary>Keeps a plot as it was seen beside a flag; gives its id.</summary>
    /// <param name="id">The flag.</param>
    /// <param name="title">Title of the plot.</param>
    /// <param name="url">Address of its data.</param>
    /// <param name="document">The document, JSON, checked by the caller.</param>
    /// <param name="note">What the person says of it; null = nothing.</param>
    /// <param name="actor">Who.</param>
    /// <param name="cancel">Stops it.</param>
    /// <exception cref="KeyNotFoundException">No such flag.</exception>
    /// <exception cref="FlagRefusedException">Too large.</exception>
    public Task<long> AttachAsync(string id, string title, string url, string document, string? note, Actor actor, CancellationToken cancel = default)
    {
        var length = Encoding.UTF8.GetByteCount(document);
        if (length > LargestDocument)
            throw new FlagRefusedException($"The plot has {length / 1024.0 / 1024:0.0} MiB of data; at most {LargestDocument / 1024 / 1024} MiB are kept. Zoom in, or show fewer traces, and attach it again.");
        var words = Words(note, "note") ?? "";
        return WriteAsync(id, actor, (t, flag, now) =>
        {
            var step = Add(t, flag, FlagStepWords.Attach, actor, words, now);
            var plot = FlagTalkStore.Attach(t, new() { Flag = id, Step = step, Title = title, Url = url, Actor = actor.Name, Time = now }, document);
            RecordStore.Append(t, actor, RecordKinds.FlagAttach, id, null, new { Plot = plot, Title = title, Url = url, Bytes = length }, words, now);
            return plot;
        }, cancel);
    }

    private async Task<T> WriteAsync<T>(string id, Actor actor, Func<IDbTransaction, FlagRow, Instant, T> work, CancellationToken cancel)
    {
        if (!Roles.Covers(actor.Role, Roles.Operator)) throw new FlagRefusedException("Steps with flags ask for the role operator or above; a viewer reads. Ask an administrator for the role.");
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        var result = await stores.Database.WriteAsync(t => work(t, FlagStore.Get(t, id) ?? throw FlagSteps.NoSuchFlag(id), now), cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Flag);
        return result;
    }

    private static FlagRow Other(IDbTransaction transaction, string id, string? other)
    {
        var name = other?.Trim() ?? "";
        // Pasted from the address bar is as good.
        if (name.LastIndexOf("/flags/", StringComparison.Ordinal) is >= 0 and var at) name = Uri.UnescapeDataString(name[(at + "/flags/".Length)..].Split('?', '#')[0]);
        if (name.Length == 0) throw new FlagRefusedException("Say which flag: its id, or the address of its page.");
        if (name == id) throw new FlagRefusedException("A flag is not linked with itself.");
        return FlagStore.Get(transaction, name) ?? throw FlagSteps.NoSuchFlag(name);
    }

    private static long Add(IDbTransaction transaction, FlagRow flag, string step, Actor actor, string note, Instant now, string? other = null) => FlagLifeStore.AddStep(transaction,
        new() { Flag = flag.Id, Time = now, Step = step, State = flag.State, Actor = actor.Name, Role = actor.Role, Note = note, Severity = flag.Severity, Other = other });

    private static string? Words(string? text, string what)
    {
        var words = string.IsNullOrWhiteSpace(text) ? null : text.Trim();
        return words?.Length > LongestComment ? throw new FlagRefusedException($"The {what} has {words.Length} characters; at most {LongestComment} are kept. Shorten it.") : words;
    }
}
