using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>The steps that people take with flags: the one call behind the pages and the API.</summary>
public sealed class FlagSteps(Stores stores, ChangeFeed changes, TimeProvider clock)
{
    /// <summary>A person takes note.</summary>
    public const string Acknowledge = "acknowledge";

    /// <summary>All steps that people can take.</summary>
    public static IReadOnlyList<string> Known { get; } = [Acknowledge];

    /// <summary>A flag as it stands; null when there is none.</summary>
    public FlagRow? Find(string id) => stores.Flags.Get(id);

    /// <summary>The steps of its life, oldest first.</summary>
    public IReadOnlyList<FlagStepRow> History(string id) => stores.Flags.Steps(id);

    /// <summary>Takes a step, under the person's name, with a note that history and record show.</summary>
    /// <exception cref="ArgumentException">No such step.</exception>
    /// <exception cref="KeyNotFoundException">No such flag.</exception>
    /// <exception cref="InvalidOperationException">The flag is in a state in which the step cannot be taken.</exception>
    public async Task<FlagRow> TakeAsync(string id, string step, Actor actor, string? note, CancellationToken cancel = default)
    {
        if (step != Acknowledge) throw new ArgumentException($"A flag has no step '{step}'; expected one of {string.Join(", ", Known)}.", nameof(step));
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        var text = string.IsNullOrWhiteSpace(note) ? null : note.Trim();
        var row = await stores.Database.WriteAsync(t =>
        {
            // Read within the transaction: the rules may be changing the same flag.
            var before = FlagStore.Get(t, id) ?? throw new KeyNotFoundException($"There is no flag with the id {id}.");
            var after = FlagJson.Row(FlagJson.Read(before).Acknowledge(actor.Name, now, text), before.Raised, now);
            FlagStore.Put(t, after, step, actor.Name, text ?? "");
            RecordStore.Append(t, actor, RecordKinds.FlagAcknowledge, id, new { before.State, before.Severity, before.Message }, new { after.State, after.Severity, after.Message }, text, now);
            EventStore.Add(t, now, "flag", id, $"Acknowledged by {actor.Name}: {after.Message}{(text is null ? "" : $" Note: {text}")}");
            return after;
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Flag);
        return row;
    }
}
