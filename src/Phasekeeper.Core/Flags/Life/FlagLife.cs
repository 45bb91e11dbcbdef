namespace Phasekeeper.Core.Flags.Life;

/// <summary>What people have done with a flag. Kept apart from what rules derive, so that a re-assessment never loses a step nor changes whose flag it is.</summary>
public sealed record FlagLife
{
    /// <summary>A flag with which nobody has done anything.</summary>
    public static readonly FlagLife Fresh = new();

    /// <summary>State in which people left it; never <see cref="LifeState.Withdrawn"/>.</summary>
    public LifeState State { get; init; }
    /// <summary>False while the rules have withdrawn the flag.</summary>
    public bool Stands { get; init; } = true;
    /// <summary>Counts the steps that change what a person would decide on: a step names the revision that it saw.</summary>
    public long Revision { get; init; }
    /// <summary>Who has it; null = nobody.</summary>
    public string? Holder { get; init; }
    /// <summary>Cause, of the mission's list as it was then; null = not stated.</summary>
    public string? Cause { get; init; }
    /// <summary>The cause in a person's words; null = not stated.</summary>
    public string? Explanation { get; init; }
    /// <summary>What was seen with the last step of a person; null while nobody has taken one.</summary>
    public FlagSight? Seen { get; init; }

    /// <summary>State as shown.</summary>
    public LifeState Shown => Stands ? State : LifeState.Withdrawn;

    /// <summary>True when it waits for a person: nobody has it, or it came back.</summary>
    public bool Waits => Shown is LifeState.Raised or LifeState.Reopened;
}
