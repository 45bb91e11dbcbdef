namespace Phasekeeper.Core.Flags;

/// <summary>What happened to a flag.</summary>
public enum FlagChangeKind
{
    /// <summary>New.</summary>
    Raise,
    /// <summary>Its stretch grew.</summary>
    Extend,
    /// <summary>Its stretch shrank.</summary>
    Trim,
    /// <summary>Same stretch, other value, severity, rule version or explanation.</summary>
    Revise,
    /// <summary>Later data removed its ground.</summary>
    Withdraw,
    /// <summary>Joined into the flag named by <see cref="Flag.ContinuedBy"/>.</summary>
    Merge,
    /// <summary>Had been withdrawn, and its ground came back.</summary>
    Reraise,
}

/// <summary>One change to store: <see cref="After"/> replaces (or becomes) the flag of its id.</summary>
/// <param name="Kind">What happened.</param>
/// <param name="Before">As it was; null for a new flag.</param>
/// <param name="After">As it is now.</param>
/// <param name="Reason">Why, in words; shown in the flag's history.</param>
public sealed record FlagChange(FlagChangeKind Kind, Flag? Before, Flag After, string Reason)
{
    /// <summary>Ids of standing flags of the same thing whose orbits a new flag takes over, the earliest first: what people did with them goes on with it.</summary>
    public IReadOnlyList<string> TakesOver { get; init; } = [];
}
