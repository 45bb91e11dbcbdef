namespace Phasekeeper.Core.Flags.Life;

/// <summary>
/// The life of a flag as people lead it: raised → taken → explained → settled, and reopened. Pure: who may do what in which state, what a step needs, and the words of a refusal.
/// Whoever is an operator or above may take every step: a flag belongs to the team, its holder is who answers for it.
/// </summary>
public static class LifeRules
{
    /// <summary>What comes of a step.</summary>
    /// <param name="After">The life after it; null when it is refused.</param>
    /// <param name="Refusal">Why it is refused, and what to do; null when it is taken.</param>
    public readonly record struct Outcome(FlagLife? After, string? Refusal);

    /// <summary>Steps that make sense in the state, in the order of a flag's life.</summary>
    /// <param name="life">The life.</param>
    /// <param name="person">Who asks.</param>
    /// <param name="operates">Whether their role reaches to operator.</param>
    public static IReadOnlyList<LifeStepKind> Allowed(FlagLife life, string person, bool operates)
    {
        ArgumentNullException.ThrowIfNull(life);
        return [.. Enum.GetValues<LifeStepKind>().Where(kind => Refusal(life, kind, person, operates) is null)];
    }

    /// <summary>True when the step must come with a note.</summary>
    public static bool NeedsNote(FlagLife life, LifeStepKind kind, string person)
    {
        ArgumentNullException.ThrowIfNull(life);
        return kind switch
        {
            LifeStepKind.Explain or LifeStepKind.Reopen => true,
            // Taking away what another has asks for a word to them.
            LifeStepKind.Take or LifeStepKind.Release => life.Holder is { } holder && holder != person,
            LifeStepKind.Settle => life.State != LifeState.Explained,
            _ => false,
        };
    }

    /// <summary>Takes a step.</summary>
    /// <param name="life">The life before.</param>
    /// <param name="step">The step.</param>
    /// <param name="person">Who takes it.</param>
    /// <param name="operates">Whether their role reaches to operator.</param>
    /// <param name="sight">What there is to see of the flag now.</param>
    /// <param name="causes">The mission's list of causes.</param>
    public static Outcome Take(FlagLife life, LifeStep step, string person, bool operates, FlagSight sight, IReadOnlyList<string> causes)
    {
        ArgumentNullException.ThrowIfNull(life);
        ArgumentNullException.ThrowIfNull(step);
        ArgumentNullException.ThrowIfNull(causes);
        var note = string.IsNullOrWhiteSpace(step.Note) ? null : step.Note.Trim();
        if ((Refusal(life, step.Kind, person, operates) ?? Lacks(life, step, note, person, causes)) is { } refusal) return new(null, refusal);
        var after = life with { Revision = life.Revision + 1, Seen = sight };
        return new(step.Kind switch
        {
            LifeStepKind.Take => after with { Holder = person, State = life.State is LifeState.Raised or LifeState.Reopened ? LifeState.Taken : life.State },
            LifeStepKind.HandOver => after with { Holder = step.To!.Trim(), State = life.State is LifeState.Raised or LifeState.Reopened ? LifeState.Taken : life.State },
            LifeStepKind.Release => after with { Holder = null, State = life.State == LifeState.Taken ? LifeState.Raised : life.State },
            LifeStepKind.Explain => after with { Holder = life.Holder ?? person, State = LifeState.Explained, Cause = step.Cause, Explanation = note },
            LifeStepKind.Settle => after with { Holder = life.Holder ?? person, State = LifeState.Settled, Cause = step.Cause ?? life.Cause, Explanation = step.Cause is null && life.Explanation is not null ? life.Explanation : note ?? life.Explanation },
            LifeStepKind.Reopen => after with { State = LifeState.Reopened },
            _ => throw new ArgumentOutOfRangeException(nameof(step), step.Kind, "Unknown step."),
        }, null);
    }

    private static string? Refusal(FlagLife life, LifeStepKind kind, string person, bool operates)
    {
        if (!operates) return "Steps with flags ask for the role operator or above; a viewer reads. Ask an administrator for the role.";
        if (!life.Stands) return "The flag is withdrawn: later data removed its ground. If the ground comes back it is raised again, with its history; a comment can be added at any time.";
        return kind switch
        {
            LifeStepKind.Take when life.State == LifeState.Settled => "The flag is settled. Reopen it first, with a reason.",
            LifeStepKind.Take when life.Holder == person && life.State != LifeState.Reopened => "You have this flag already.",
            LifeStepKind.HandOver when life.State == LifeState.Settled => "The flag is settled. Reopen it first, with a reason.",
            LifeStepKind.Release when life.Holder is null => "Nobody has this flag, so it cannot be released.",
            LifeStepKind.Release when life.State == LifeState.Settled => "The flag is settled; it stays with who had it. Reopen it first, with a reason.",
            LifeStepKind.Explain when life.State == LifeState.Settled => "The flag is settled. Reopen it first, with a reason; then its cause can be stated anew.",
            LifeStepKind.Settle when life.State == LifeState.Settled => "The flag is settled already.",
            LifeStepKind.Reopen when life.State is not (LifeState.Settled or LifeState.Explained) => $"The flag is {Word(life.State)}, so there is nothing to reopen; only an explained or settled flag can be reopened.",
            _ => null,
        };
    }

    private static string? Lacks(FlagLife life, LifeStep step, string? note, string person, IReadOnlyList<string> causes)
    {
        if (note?.Length > LifeStep.LongestNote) return $"The note has {note.Length} characters; at most {LifeStep.LongestNote} are kept. Shorten it, or put the rest into comments.";
        if (step.Cause is { } cause && !causes.Contains(cause, StringComparer.Ordinal)) return $"Found the cause '{cause}'; expected one of this mission's list: {string.Join(", ", causes)}.";
        if (step.Cause is not null && step.Kind is not (LifeStepKind.Explain or LifeStepKind.Settle)) return "A cause goes with the steps explain and settle only.";
        return step.Kind switch
        {
            LifeStepKind.HandOver when string.IsNullOrWhiteSpace(step.To) => "Say to whom the flag is handed over.",
            LifeStepKind.HandOver when step.To!.Trim() == life.Holder => $"{life.Holder} has this flag already.",
            LifeStepKind.Explain when step.Cause is null => $"An explanation needs a cause: one of {string.Join(", ", causes)}.",
            LifeStepKind.Explain when note is null => "An explanation needs words: what happened, and how it is known.",
            LifeStepKind.Settle when life.State != LifeState.Explained && step.Cause is null => $"The flag is not explained. State its cause with the step (one of {string.Join(", ", causes)}) and a note, or explain it first.",
            LifeStepKind.Settle when life.State != LifeState.Explained && note is null => "The flag is not explained. Say in a note what happened, or explain it first.",
            LifeStepKind.Reopen when note is null => "Reopening needs a reason.",
            LifeStepKind.Take when note is null && NeedsNote(life, step.Kind, person) => $"{life.Holder} has this flag. Taking it over needs a note that says why, or ask them to hand it over.",
            LifeStepKind.Release when note is null && NeedsNote(life, step.Kind, person) => $"{life.Holder} has this flag. Releasing it for them needs a note that says why.",
            _ => null,
        };
    }

    private static string Word(LifeState state) => state.ToString().ToLowerInvariant();
}
