namespace Phasekeeper.Core.Limb;

/// <summary>What a line of sight does.</summary>
public enum LookOutcome
{
    /// <summary>It passes a tangent point above the ellipsoid.</summary>
    Tangent,
    /// <summary>It meets the ellipsoid: there is no tangent point.</summary>
    MeetsEarth,
    /// <summary>It rises from the satellite on: the satellite itself is its lowest point.</summary>
    Rises,
}
