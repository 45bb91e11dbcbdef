namespace Phasekeeper.Core.Flags.Life;

/// <summary>How far people are with a flag, as pages and the API show it (lower case).</summary>
public enum LifeState
{
    /// <summary>Found; nobody has it.</summary>
    Raised,
    /// <summary>A person has it.</summary>
    Taken,
    /// <summary>Its cause is stated.</summary>
    Explained,
    /// <summary>Done with.</summary>
    Settled,
    /// <summary>Was explained or settled; new data, or a person, ask for a look again.</summary>
    Reopened,
    /// <summary>Later data removed its ground. The state in which people left it is kept beneath, and counts again when the ground comes back.</summary>
    Withdrawn,
}
