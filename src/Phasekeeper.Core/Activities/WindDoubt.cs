namespace Phasekeeper.Core.Activities;

/// <summary>Which winds a kind of activity makes doubtful.</summary>
public enum WindDoubt
{
    /// <summary>None.</summary>
    Never,
    /// <summary>Those during it whose attitude no file tells.</summary>
    WithoutAttitudeFile,
    /// <summary>All during it.</summary>
    Always,
}
