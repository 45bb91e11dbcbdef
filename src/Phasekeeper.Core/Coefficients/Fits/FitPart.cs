namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>A group of numbers that a fit determines together or leaves alone.</summary>
public enum FitPart
{
    /// <summary>Thermal slope k of each view and line.</summary>
    ThermalSlope,
    /// <summary>Thermal lag τ.</summary>
    ThermalLag,
    /// <summary>
    /// The lamp's reference phase, at T_ref in the middle of the window. Moving it by δ moves the zero of φ_opt by ρ·δ, so the zero-wind phases of the view and line go along by ρ·δ: no wind changes.
    /// </summary>
    LampReference,
    /// <summary>Image-shift law of each view: slope against the bench temperature, and the offset after the last step in the window.</summary>
    ImageShift,
    /// <summary>Dark law: rate at the reference temperature; its doubling where the detector's temperature has moved, and the bias where integration times differ.</summary>
    Dark,
    /// <summary>Zero-wind phases, moved by the offset that the zero-wind tracker's solution claims.</summary>
    ZeroWind,
    /// <summary>Reference visibilities of scene and lamp, and the lamp's brightness.</summary>
    Visibility,
    /// <summary>Map of bad samples: hot ones are added.</summary>
    BadSamples,
}
