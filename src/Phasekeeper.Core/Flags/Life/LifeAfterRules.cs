namespace Phasekeeper.Core.Flags.Life;

/// <summary>What new data make of a flag's life. Pure. A person's step is never undone and a holder never changed: what new data can do is ask for a look again.</summary>
public static class LifeAfterRules
{
    /// <summary>Something that new data did to a life.</summary>
    /// <param name="After">The life after it.</param>
    /// <param name="Reopened">Why it was reopened; null when it was not.</param>
    public readonly record struct Outcome(FlagLife After, string? Reopened);

    /// <summary>The life after a change by the rules; the same life when the change does not matter to it.</summary>
    public static Outcome Of(FlagLife life, FlagChange change)
    {
        ArgumentNullException.ThrowIfNull(life);
        ArgumentNullException.ThrowIfNull(change);
        var flag = change.After;
        if (!flag.Stands) return new(life.Stands ? life with { Stands = false, Revision = life.Revision + 1 } : life, null);
        var after = life.Stands ? life : life with { Stands = true, Revision = life.Revision + 1 };
        // Someone who decides on a warning must be told that it is critical by now.
        if (change.Before is { } before && before.Severity != flag.Severity && after.Revision == life.Revision) after = after with { Revision = after.Revision + 1 };
        if (after.Seen is not { } seen || after.State is LifeState.Raised or LifeState.Reopened) return new(after, null);
        if (seen.WhyOther(FlagSight.Of(flag), after.State == LifeState.Settled) is not { } why) return new(after, null);
        return new(after with { State = LifeState.Reopened, Revision = life.Revision + 1 }, why);
    }

    /// <summary>
    /// The life of a flag that takes over orbits of another one: what people did with that one goes on with it. A flag that people have already dealt with keeps its own life; both stay, linked.
    /// </summary>
    /// <param name="heir">Life of the flag that takes over.</param>
    /// <param name="former">Life of the one whose orbits it takes over.</param>
    /// <returns>The life, or null when nothing goes on.</returns>
    public static FlagLife? Inherit(FlagLife heir, FlagLife former)
    {
        ArgumentNullException.ThrowIfNull(heir);
        ArgumentNullException.ThrowIfNull(former);
        return heir.Seen is null && former.Seen is not null ? former with { Stands = heir.Stands, Revision = heir.Revision + 1 } : null;
    }
}
