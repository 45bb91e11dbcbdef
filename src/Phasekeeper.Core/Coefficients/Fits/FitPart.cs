namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>A group of numbers that a fit determines together or leaves alone.</summary>
public enum FitPart
{
    /// <summary>Thermal slope k of each view and line.</summary>
    ThermalSlope,
    /// <summary>Thermal lag τ.</summary>
    ThermalLag,
    /// <summary>The lamp's reference phase.</summary>
    LampReference,
    /// <summary>Image-shift law of each view: offset and slope against the bench temperature.</summary>
    ImageShift,
    /// <summary>Dark law: rate at the reference temperature and its doubling.</summary>
    Dark,
    /// <summary>Zero-wind phases, moved by the offset that the zero-wind tracker's solution claims.</summary>
    ZeroWind,
    /// <summary>Reference visibilities of scene and lamp, and the lamp's brightness.</summary>
    Visibility,
    /// <summary>Map of bad samples: hot ones are added.</summary>
    BadSamples,
}
