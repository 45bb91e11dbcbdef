namespace Phasekeeper.Core.Flags;

/// <summary>What the rules say of a flag. How far people are with it is <see cref="Life.FlagLife"/>.</summary>
public enum FlagState
{
    /// <summary>The condition was found, and stands.</summary>
    Raised = 0,
    /// <summary>Later data removed its ground, or it was joined into another flag; kept and shown with the reason.</summary>
    Withdrawn = 2,
}
