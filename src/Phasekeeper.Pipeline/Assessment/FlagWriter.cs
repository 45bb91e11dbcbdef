using System.Data;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>
/// Writes what rules found, and what follows from it for the flags' lives: a settled flag that grows is reopened, a flag that takes over another's orbits goes on with what people did. The rules' table is written from
/// the changes alone, whatever people did: products do not depend on people.
/// </summary>
public static class FlagWriter
{
    /// <summary>Name under which steps of rules stand in a flag's history.</summary>
    public const string Rules = "rules";

    /// <summary>Writes the changes of one assessment, in its transaction.</summary>
    public static void Write(IDbTransaction transaction, IReadOnlyList<FlagChange> changes, Instant now)
    {
        ArgumentNullException.ThrowIfNull(changes);
        foreach (var change in changes) Write(transaction, change, now);
        // Once all flags stand as they are: an heir may come before or after what it takes over.
        foreach (var change in changes.Where(c => c.After.Stands && c.TakesOver.Count > 0))
            foreach (var former in change.TakesOver) Inherit(transaction, change.After, former, now);
        foreach (var change in changes.Where(c => c.Kind == FlagChangeKind.Merge && c.After.ContinuedBy is not null))
            if (FlagStore.Get(transaction, change.After.ContinuedBy!) is { } heir) Inherit(transaction, FlagJson.Read(heir), change.After.Id, now);
    }

    private static void Write(IDbTransaction transaction, FlagChange change, Instant now)
    {
        var flag = change.After;
        var stored = FlagStore.Get(transaction, flag.Id);
        var before = FlagLifeStore.Get(transaction, flag.Id);
        FlagStore.Put(transaction, FlagJson.Row(flag, stored?.Raised ?? now, now), null, Rules);
        var (after, reopened) = LifeAfterRules.Of(before, change);
        if (after != before) Save(transaction, flag.Id, before, after);
        if (StepOf(change) is { } step)
            AddStep(transaction, flag, step, change.Reason, now, reopened is null ? after : after with { State = before.State });
        if (reopened is not null) Reopen(transaction, flag, before, after, reopened, now);
        if (change.Kind is FlagChangeKind.Raise or FlagChangeKind.Reraise or FlagChangeKind.Withdraw)
            EventStore.Add(transaction, now, "flag", flag.Id, change.Kind == FlagChangeKind.Withdraw ? $"Withdrawn: {flag.Message} {change.Reason}" : $"Raised ({Word(flag)}): {flag.Message}");
    }

    private static void Inherit(IDbTransaction transaction, Flag flag, string former, Instant now)
    {
        var (own, others) = (FlagLifeStore.Get(transaction, flag.Id), FlagLifeStore.Get(transaction, former));
        if (LifeAfterRules.Inherit(own, others) is { } inherited)
        {
            // What they saw was the former flag: the heir may be more than that.
            var (after, reopened) = LifeAfterRules.Of(inherited, new(FlagChangeKind.Revise, null, flag, ""));
            Save(transaction, flag.Id, own, after);
            var words = $"What people did with flag {former} goes on here: {FlagLifeStore.Word(inherited)}{(inherited.Holder is { } holder ? $", with {holder}" : "")}{(inherited.Cause is { } cause ? $"; cause: {cause}" : "")}.";
            FlagLifeStore.AddStep(transaction, Step(flag, FlagStepWords.Inherit, words, now, inherited) with { Other = former, Cause = inherited.Cause });
            RecordStore.Append(transaction, Actor.System, RecordKinds.FlagInherit, flag.Id, null, RecordOf(inherited, flag), words, now);
            if (reopened is not null) Reopen(transaction, flag, inherited, after, reopened, now);
        }
        // Both have a history of their own, or one is to be found from the other.
        if (others.Seen is not null) FlagTalkStore.Link(transaction, flag.Id, former, Rules, now);
    }

    private static void Reopen(IDbTransaction transaction, Flag flag, FlagLife before, FlagLife after, string why, Instant now)
    {
        AddStep(transaction, flag, FlagStepWords.Reopen, why, now, after);
        RecordStore.Append(transaction, Actor.System, RecordKinds.FlagReopen, flag.Id, RecordOf(before, flag), RecordOf(after, flag), why, now);
        EventStore.Add(transaction, now, "flag", flag.Id, $"Reopened by new data: {flag.Message} {why}");
    }

    /// <summary>What the record says of a life.</summary>
    internal static object RecordOf(FlagLife life, Flag flag) => new { State = FlagLifeStore.Word(life), life.Holder, life.Cause, life.Explanation, Severity = Word(flag), flag.Message };

    private static void AddStep(IDbTransaction transaction, Flag flag, string step, string note, Instant now, FlagLife life) => FlagLifeStore.AddStep(transaction, Step(flag, step, note, now, life));

    private static FlagStepRow Step(Flag flag, string step, string note, Instant now, FlagLife life) =>
        new() { Flag = flag.Id, Time = now, Step = step, State = FlagLifeStore.Word(life), Actor = Rules, Note = note, Severity = Word(flag), Revision = life.Revision };

    private static void Save(IDbTransaction transaction, string flag, FlagLife before, FlagLife after)
    {
        if (!FlagLifeStore.Save(transaction, flag, before, after))
            throw new InvalidOperationException($"The life of flag {flag} changed within the transaction that read it at revision {before.Revision}; this is a fault of the program, please report it.");
    }

    // A flag that merely goes on needs no line in its history for every orbit; one whose severity changes does.
    private static string? StepOf(FlagChange change) => change switch
    {
        { Kind: FlagChangeKind.Extend or FlagChangeKind.Revise or FlagChangeKind.Trim, Before: { } before } when change.After.Severity > before.Severity => FlagStepWords.Worsen,
        { Kind: FlagChangeKind.Extend or FlagChangeKind.Revise or FlagChangeKind.Trim, Before: { } before } when change.After.Severity < before.Severity => FlagStepWords.Ease,
        { Kind: FlagChangeKind.Extend or FlagChangeKind.Revise } => null,
        { Kind: FlagChangeKind.Reraise } => FlagStepWords.Reraise,
        _ => change.Kind.ToString().ToLowerInvariant(),
    };

    private static string Word(Flag flag) => flag.Severity.ToString().ToLowerInvariant();
}
