namespace Phasekeeper.Core.Fringes;

/// <summary>
/// One row's arrays, all of the same length, a multiple of <see cref="FitKernel.Width"/>. Padding has Use = 0.
/// Model: μ = q·[A·f + C·c + S·s + β·u·(C·s − S·c)], with f the flat field, c = f·m·cosθ, s = −f·m·sinθ and u = i − i_c.
/// </summary>
internal ref struct RowData
{
    /// <summary>Electrons above bias and dark.</summary>
    public Span<float> Electrons;
    /// <summary>f.</summary>
    public ReadOnlySpan<float> Flat;
    /// <summary>f·m·cosθ.</summary>
    public Span<float> Cos;
    /// <summary>−f·m·sinθ.</summary>
    public Span<float> Sin;
    /// <summary>Fiducial transmission q.</summary>
    public ReadOnlySpan<float> Notch;
    /// <summary>u = i − i_c.</summary>
    public ReadOnlySpan<float> Offset;
    /// <summary>1 = may be used, 0 = bad, saturated or padding: set before the fit.</summary>
    public Span<float> Allowed;
    /// <summary>1 = used, 0 = masked: the fit's own.</summary>
    public Span<float> Use;
    /// <summary>Variance that does not come from the signal: dark electrons + read noise² + rounding, e⁻².</summary>
    public double VarianceFloor;
    /// <summary>Electrons above dark at which the detector saturates.</summary>
    public double SaturationElectrons;

    /// <summary>Largest |u|.</summary>
    public readonly double Reach => -Offset[0];
}
