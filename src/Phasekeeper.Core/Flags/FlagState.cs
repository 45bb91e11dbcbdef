namespace Phasekeeper.Core.Flags;

/// <summary>Where a flag is in its life.</summary>
public enum FlagState
{
    /// <summary>The condition was found; nobody has taken note yet.</summary>
    Raised = 0,
    /// <summary>A person has taken note.</summary>
    Acknowledged = 1,
    /// <summary>Later data removed its ground, or it was joined into another flag; kept and shown with the reason.</summary>
    Withdrawn = 2,
}
