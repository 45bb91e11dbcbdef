namespace Phasekeeper.Core.Flags;

/// <summary>How much a flag matters; ordered, so the worse of two is the larger.</summary>
public enum FlagSeverity
{
    /// <summary>Worth knowing; nothing to do today.</summary>
    Notice = 0,
    /// <summary>A person should look; data of the stretch may be in doubt.</summary>
    Warning = 1,
    /// <summary>A person must look now.</summary>
    Critical = 2,
}
