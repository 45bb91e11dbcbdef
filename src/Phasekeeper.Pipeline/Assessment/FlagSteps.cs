using System.Data;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>Somebody of the mission's people.</summary>
/// <param name="Name">Name, as it stands beside decisions.</param>
/// <param name="Operates">Whether their role reaches to operator.</param>
public sealed record MissionPerson(string Name, bool Operates);

/// <summary>A flag that a step is asked for.</summary>
/// <param name="Id">Id.</param>
/// <param name="Revision">Revision of its life that the person saw; null = whatever it is.</param>
public readonly record struct FlagAt(string Id, long? Revision);

/// <summary>What came of a step with one flag of several.</summary>
/// <param name="Id">The flag.</param>
/// <param name="Flag">As it is after the step; null when it was refused.</param>
/// <param name="Refusal">Why it was refused; null when the step was taken.</param>
public sealed record FlagStepResult(string Id, FlagRow? Flag, string? Refusal);

/// <summary>
/// The steps that people take with flags: the one call behind the pages and the API. A step and its entry in the record are one transaction; a step names the revision that the person saw, and is refused when somebody
/// was faster.
/// </summary>
public sealed class FlagSteps(Stores stores, ChangeFeed changes, TimeProvider clock)
{
    /// <summary>Most flags in one request (chosen: what a page can show).</summary>
    public const int MostAtOnce = 300;

    /// <summary>A flag as it stands; null when there is none.</summary>
    public FlagRow? Find(string id) => stores.Flags.Get(id);

    /// <summary>The steps of its life, oldest first.</summary>
    public IReadOnlyList<FlagStepRow> History(string id) => stores.FlagLives.Steps(id);

    /// <summary>Takes a step with one flag.</summary>
    /// <exception cref="KeyNotFoundException">No such flag.</exception>
    /// <exception cref="FlagConflictException">Somebody was faster.</exception>
    /// <exception cref="FlagRefusedException">The step cannot be taken.</exception>
    public async Task<FlagRow> TakeAsync(FlagAt at, LifeStep step, Actor actor, FlagTeam team, CancellationToken cancel = default)
    {
        var now = Now;
        var row = await stores.Database.WriteAsync(t => Take(t, at, step, actor, team, now), cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Flag);
        return row;
    }

    /// <summary>Takes a step with several flags, in one transaction. Each stands for itself: one that is refused keeps no other from its step, and the answer says so.</summary>
    /// <exception cref="FlagRefusedException">Too many flags, or none.</exception>
    public async Task<IReadOnlyList<FlagStepResult>> TakeManyAsync(IReadOnlyList<FlagAt> flags, LifeStep step, Actor actor, FlagTeam team, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(flags);
        if (flags.Count is 0 or > MostAtOnce) throw new FlagRefusedException($"Found {flags.Count} flags; expected 1 to {MostAtOnce}. Choose {(flags.Count == 0 ? "some" : "fewer, and go on with the rest")}.");
        var now = Now;
        var results = await stores.Database.WriteAsync(t => flags.DistinctBy(f => f.Id).Select(at => TakeOne(t, at, step, actor, team, now)).ToArray(), cancel).ConfigureAwait(false);
        if (results.Any(r => r.Refusal is null)) changes.Publish(ChangeKind.Flag);
        return results;
    }

    // A refusal comes before anything is written, so nothing of the one flag is left in the others' transaction.
    private static FlagStepResult TakeOne(IDbTransaction transaction, FlagAt at, LifeStep step, Actor actor, FlagTeam team, Instant now)
    {
        try
        {
            return new(at.Id, Take(transaction, at, step, actor, team, now), null);
        }
        catch (Exception refused) when (refused is FlagRefusedException or KeyNotFoundException)
        {
            return new(at.Id, null, refused.Message);
        }
    }

    private static FlagRow Take(IDbTransaction transaction, FlagAt at, LifeStep step, Actor actor, FlagTeam team, Instant now)
    {
        // Read within the transaction: the rules, or another person, may be changing the same flag.
        var flag = FlagJson.Read(FlagStore.Get(transaction, at.Id) ?? throw NoSuchFlag(at.Id));
        var before = FlagLifeStore.Get(transaction, at.Id);
        if (at.Revision is { } saw && saw != before.Revision) throw Conflict(transaction, at.Id, saw, before.Revision);
        step = step with { To = team.NameOf(step) };
        var (life, refusal) = LifeRules.Take(before, step, actor.Name, Roles.Covers(actor.Role, Roles.Operator), FlagSight.Of(flag), team.Causes);
        if (life is null) throw new FlagRefusedException(refusal!);
        if (!FlagLifeStore.Save(transaction, at.Id, before, life)) throw Conflict(transaction, at.Id, before.Revision, FlagLifeStore.Get(transaction, at.Id).Revision);
        var note = step.Note?.Trim() ?? "";
        var row = new FlagStepRow
        {
            Flag = at.Id,
            Time = now,
            Step = LifeStep.WordOf(step.Kind),
            State = FlagLifeStore.Word(life),
            Actor = actor.Name,
            Role = actor.Role,
            Note = note,
            Severity = flag.Severity.ToString().ToLowerInvariant(),
            Cause = step.Kind is LifeStepKind.Explain or LifeStepKind.Settle ? life.Cause : null,
            Other = step.To,
            Revision = life.Revision,
        };
        FlagLifeStore.AddStep(transaction, row);
        RecordStore.Append(transaction, actor, "flag." + row.Step, at.Id, FlagWriter.RecordOf(before, flag), FlagWriter.RecordOf(life, flag), note, now);
        EventStore.Add(transaction, now, "flag", at.Id, $"{actor.Name} {FlagStepText.Did(row)}: {flag.Message}{(note.Length == 0 ? "" : $" Note: {note}")}");
        return FlagStore.Get(transaction, at.Id)!;
    }

    internal static KeyNotFoundException NoSuchFlag(string id) => new($"There is no flag with the id '{id}'. Flags are never deleted; look at the list of flags for its id.");

    private static FlagConflictException Conflict(IDbTransaction transaction, string id, long saw, long now) => new(FlagStepText.Conflict(FlagLifeStore.Since(transaction, id, saw), saw, now), now);

    private Instant Now => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
}
