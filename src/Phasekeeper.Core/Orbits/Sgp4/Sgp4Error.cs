namespace Phasekeeper.Core.Orbits.Sgp4;

/// <summary>Why mean elements give no state; the numbers are those of AIAA 2006-6753.</summary>
public enum Sgp4Error
{
    /// <summary>No error.</summary>
    None = 0,
    /// <summary>Mean eccentricity at or above 1 or below −0.001.</summary>
    MeanEccentricity = 1,
    /// <summary>Mean motion zero or negative.</summary>
    MeanMotion = 2,
    /// <summary>Eccentricity with lunar-solar terms below 0 or above 1.</summary>
    PerturbedEccentricity = 3,
    /// <summary>Semi-latus rectum negative.</summary>
    SemiLatusRectum = 4,
    /// <summary>The satellite has decayed: its radius is below one Earth radius.</summary>
    Decayed = 6,
}
