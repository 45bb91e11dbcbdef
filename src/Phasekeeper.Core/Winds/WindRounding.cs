namespace Phasekeeper.Core.Winds;

/// <summary>
/// Winds in the precision in which they are kept and given out: single precision (7 digits: 1 m in place, 1 cm in height, 0.01 mm/s in winds), the covariance to 14
/// significant bits and the averaging kernel to 2⁻¹², each far below its error. A product is rounded once, where it is made, so that all who read it read the same bits.
/// </summary>
public static class WindRounding
{
    private const double KernelStep = 1.0 / 4096;

    /// <summary>The profile as it is kept.</summary>
    public static LosWindProfile Rounded(this LosWindProfile profile) => profile with
    {
        Rows = [.. profile.Rows.Select(Rounded)],
        AveragingKernel = Array.ConvertAll(profile.AveragingKernel, k => Math.Round(k / KernelStep) * KernelStep),
        KernelAltitudeKm = Array.ConvertAll(profile.KernelAltitudeKm, Single),
        CovarianceM2S2 = Array.ConvertAll(profile.CovarianceM2S2, Coarse),
        CorrelationKm = Single(profile.CorrelationKm),
        TopScaleHeightKm = Single(profile.TopScaleHeightKm),
        MisfitChiSquare = Single(profile.MisfitChiSquare),
    };

    /// <summary>The vector as it is kept.</summary>
    public static WindVector Rounded(this WindVector v) => v with
    {
        LatitudeRad = Single(v.LatitudeRad),
        LongitudeRad = Single(v.LongitudeRad),
        AltitudeKm = Single(v.AltitudeKm),
        SecondsBetweenLooks = Single(v.SecondsBetweenLooks),
        SeparationKm = Single(v.SeparationKm),
        EastwardMs = Single(v.EastwardMs),
        NorthwardMs = Single(v.NorthwardMs),
        EastwardSigmaMs = Single(v.EastwardSigmaMs),
        NorthwardSigmaMs = Single(v.NorthwardSigmaMs),
        CovarianceM2S2 = Single(v.CovarianceM2S2),
    };

    private static LosWind Rounded(LosWind w) => w with
    {
        LatitudeRad = Single(w.LatitudeRad),
        LongitudeRad = Single(w.LongitudeRad),
        AltitudeKm = Single(w.AltitudeKm),
        AzimuthRad = Single(w.AzimuthRad),
        ApparentMs = Single(w.ApparentMs),
        ApparentSigmaMs = Single(w.ApparentSigmaMs),
        WindMs = Single(w.WindMs),
        SigmaMs = Single(w.SigmaMs),
        SigmaThroughKernelMs = Single(w.SigmaThroughKernelMs),
        VerticalResolutionKm = Single(w.VerticalResolutionKm),
        KernelDiagonal = Single(w.KernelDiagonal),
        OwnLayerShare = Single(w.OwnLayerShare),
        Budget = new(Single(w.Budget.PhotonMs), Single(w.Budget.ThermalMs), Single(w.Budget.ImageShiftMs), Single(w.Budget.ZeroWindMs), Single(w.Budget.EphemerisMs),
            new(Single(w.Budget.Attitude.YawMs), Single(w.Budget.Attitude.PitchMs), Single(w.Budget.Attitude.RollMs)), Single(w.Budget.InversionMs)),
        Emission = Single(w.Emission),
        EmissionSigma = Single(w.EmissionSigma),
    };

    private static double Single(double value) => (float)value;

    private static double Coarse(double value)
    {
        if (value == 0 || !double.IsFinite(value)) return value;
        var step = Math.ScaleB(1, Math.ILogB(value) - 13);
        return Math.Round(value / step) * step;
    }
}
