using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Thermal;

/// <summary>The optical drift that one lamp exposure of a view and line measured.</summary>
/// <param name="Time">Middle of the exposure.</param>
/// <param name="MeasuredRad">φ_opt for the airglow line, rad: unwrapped to lie near the model and its neighbours.</param>
/// <param name="PhotonSigmaRad">1σ from the lamp rows alone, rad.</param>
/// <param name="ModelRad">φ_opt of the approved thermal model without c(t), rad.</param>
/// <param name="LaggedC">T_lag, °C, and how much its unknown start still matters.</param>
/// <param name="ShiftSensitivityRad">∂φ_opt/∂s = ρ·2πF_L/N, rad per sample: how an error of the image shift enters.</param>
/// <param name="ShiftSigmaSamples">1σ of the image shift that was removed, samples (common to neighbouring exposures: <see cref="SmoothImageShift.Covariance"/>).</param>
/// <param name="ReducedChiSquare">Scatter of the rows about their mean, χ² per degree of freedom; NaN for one row.</param>
/// <param name="Rows">Rows used.</param>
public readonly record struct LampDriftPoint(
    Instant Time, double MeasuredRad, double PhotonSigmaRad, double ModelRad, LaggedValue LaggedC, double ShiftSensitivityRad, double ShiftSigmaSamples,
    double ReducedChiSquare, int Rows)
{
    /// <summary>Measured minus model, rad: what c(t) is made from.</summary>
    public double OffsetRad => MeasuredRad - ModelRad;

    /// <summary>1σ of the measured drift with the image shift's share, rad.</summary>
    public double SigmaRad => Math.Sqrt(PhotonSigmaRad * PhotonSigmaRad + ShiftSensitivityRad * ShiftSigmaSamples * ShiftSensitivityRad * ShiftSigmaSamples);
}
