namespace Phasekeeper.Core.Fringes;

/// <summary>
/// The Cramér–Rao bound of one row: the least variance that any unbiased estimate of (A, AV·cosφ, AV·sinφ) can have
/// (domain.md section 3 step 5), from the full Fisher matrix with all noise terms. Written plainly and apart from the fit, which is measured against it.
/// </summary>
/// <remarks>
/// Fisher matrix J_jk = Σ_i ∂μ_i/∂p_j·∂μ_i/∂p_k / v_i over the unmasked samples, v_i = μ_i + floor, floor = dark electrons + read noise² +
/// electronsPerCount²/12. With photon noise alone and m = 1 the phase part is 1/(N·A·(1 − √(1 − V²))).
/// </remarks>
/// <param name="PhaseSigmaRad">Least 1σ of φ, rad.</param>
/// <param name="SignalSigmaElectrons">Least 1σ of A, electrons.</param>
/// <param name="VisibilitySigma">Least 1σ of V.</param>
public sealed record CramerRaoBound(double PhaseSigmaRad, double SignalSigmaElectrons, double VisibilitySigma)
{
    /// <summary>The bound of a row.</summary>
    /// <param name="transmission">f_i·q_i, flat field times fiducials.</param>
    /// <param name="envelope">m_i.</param>
    /// <param name="phaseRad">θ_i + φ, the whole phase of the fringe at each sample, rad.</param>
    /// <param name="signalElectrons">A.</param>
    /// <param name="visibility">V.</param>
    /// <param name="varianceFloor">Variance that does not come from the signal, e⁻².</param>
    /// <param name="masked">True for samples that are not used; empty: all are used.</param>
    /// <exception cref="ArgumentException">The arrays differ in length, or the samples left cannot tell the three parameters apart.</exception>
    public static CramerRaoBound Of(
        ReadOnlySpan<double> transmission, ReadOnlySpan<double> envelope, ReadOnlySpan<double> phaseRad,
        double signalElectrons, double visibility, double varianceFloor, ReadOnlySpan<bool> masked = default)
    {
        if (envelope.Length != transmission.Length || phaseRad.Length != transmission.Length || (masked.Length != 0 && masked.Length != transmission.Length))
            throw new ArgumentException($"Arrays of {transmission.Length}, {envelope.Length}, {phaseRad.Length} and {masked.Length} samples; one length is expected.");
        // Parameters turned to φ itself: p1 along the fringe (AV), p2 across it (AV·φ), so that the phase is one element.
        double n00 = 0, n01 = 0, n02 = 0, n11 = 0, n12 = 0, n22 = 0;
        for (var i = 0; i < transmission.Length; i++)
        {
            if (masked.Length != 0 && masked[i]) continue;
            var (sin, cos) = Math.SinCos(phaseRad[i]);
            double b0 = transmission[i], b1 = b0 * envelope[i] * cos, b2 = -b0 * envelope[i] * sin;
            var variance = signalElectrons * (b0 + visibility * b1) + varianceFloor;
            if (!(variance > 0)) continue; // a sample at zero mean and without noise: its limit is zero weight in the fringe's direction
            n00 += b0 * b0 / variance;
            n01 += b0 * b1 / variance;
            n02 += b0 * b2 / variance;
            n11 += b1 * b1 / variance;
            n12 += b1 * b2 / variance;
            n22 += b2 * b2 / variance;
        }
        // Inverse of the symmetric 3×3 matrix by cofactors.
        double c00 = n11 * n22 - n12 * n12, c11 = n00 * n22 - n02 * n02, c22 = n00 * n11 - n01 * n01, c01 = n02 * n12 - n01 * n22;
        var determinant = n00 * c00 + n01 * c01 + n02 * (n01 * n12 - n02 * n11);
        if (!(determinant > 1e-12 * n00 * n11 * n22))
            throw new ArgumentException("The samples left cannot tell signal, fringe amplitude and phase apart: more unmasked samples over a whole fringe are needed.");
        var contrast = signalElectrons * visibility;
        double varA = c00 / determinant, varAlong = c11 / determinant, covariance = c01 / determinant;
        var varV = (varAlong - 2 * visibility * covariance + visibility * visibility * varA) / (signalElectrons * signalElectrons);
        return new CramerRaoBound(Math.Sqrt(c22 / determinant) / contrast, Math.Sqrt(varA), Math.Sqrt(varV));
    }
}
