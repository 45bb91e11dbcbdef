using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Winds;

/// <summary>1σ of a wind by origin, m/s. The squares add up to the square of the reported σ.</summary>
/// <param name="PhotonMs">Photon and read noise of all rows.</param>
/// <param name="ThermalMs">Lamp and thermal correction, the part that is independent of the image shift.</param>
/// <param name="ImageShiftMs">Image shift, after what scene and lamp share has cancelled.</param>
/// <param name="ZeroWindMs">Zero wind.</param>
/// <param name="EphemerisMs">Satellite's speed.</param>
/// <param name="Attitude">Yaw, pitch and roll, signed: the satellite's speed along a turned line of sight, and heights that are off.</param>
/// <param name="InversionMs">Smoothing by the prior, emission profile, and changes along the ray that one exposure cannot see.</param>
public readonly record struct WindErrorBudget(
    double PhotonMs, double ThermalMs, double ImageShiftMs, double ZeroWindMs, double EphemerisMs, AttitudeErrors Attitude, double InversionMs)
{
    /// <summary>Yaw, pitch and roll together, m/s.</summary>
    public double AttitudeMs => Attitude.SigmaMs;

    /// <summary>Root of the sum of squares, m/s.</summary>
    public double TotalMs => Math.Sqrt(Square(PhotonMs) + Square(ThermalMs) + Square(ImageShiftMs) + Square(ZeroWindMs) + Square(EphemerisMs) + Square(AttitudeMs) + Square(InversionMs));

    private static double Square(double x) => x * x;
}

/// <summary>Wind of one detector row. Values that do not exist are NaN.</summary>
public sealed record LosWind
{
    /// <summary>Detector row.</summary>
    public required int Row { get; init; }
    /// <summary>Geodetic latitude of the tangent point, rad.</summary>
    public required double LatitudeRad { get; init; }
    /// <summary>Longitude of the tangent point, rad, −π…π, east positive.</summary>
    public required double LongitudeRad { get; init; }
    /// <summary>Height of the tangent point over WGS 84, km.</summary>
    public required double AltitudeKm { get; init; }
    /// <summary>Direction of the look at the tangent point, clockwise from north, rad, 0…2π.</summary>
    public required double AzimuthRad { get; init; }
    /// <summary>Wind along the look before inversion, all corrections made, m/s, away from the satellite.</summary>
    public double ApparentMs { get; init; } = double.NaN;
    /// <summary>1σ of <see cref="ApparentMs"/>, m/s.</summary>
    public double ApparentSigmaMs { get; init; } = double.NaN;
    /// <summary>Horizontal wind along the look at the tangent point, m/s, away from the satellite.</summary>
    public double WindMs { get; init; } = double.NaN;
    /// <summary>1σ of <see cref="WindMs"/> against the wind at the point, m/s: all terms of <see cref="Budget"/>.</summary>
    public double SigmaMs { get; init; } = double.NaN;
    /// <summary>1σ against the wind seen through the averaging kernel, m/s: without the smoothing by the prior.</summary>
    public double SigmaThroughKernelMs { get; init; } = double.NaN;
    /// <summary>
    /// Height that one degree of freedom of the profile spans, km: row spacing over the diagonal of the averaging kernel (Rodgers 2000, section 2.4.1). NaN where
    /// the diagonal is below 0.02.
    /// </summary>
    public double VerticalResolutionKm { get; init; } = double.NaN;
    /// <summary>Diagonal of the averaging kernel: share of the value that comes from the measurement at this height.</summary>
    public double KernelDiagonal { get; init; }
    /// <summary>Share of the row's fringe amplitude that comes from within half a row spacing of its tangent height.</summary>
    public double OwnLayerShare { get; init; }
    /// <summary>Where the uncertainty comes from.</summary>
    public WindErrorBudget Budget { get; init; }
    /// <summary>Fringe-forming emission at the tangent point, electrons per sample and km of path (A·V).</summary>
    public double Emission { get; init; } = double.NaN;
    /// <summary>1σ of <see cref="Emission"/>.</summary>
    public double EmissionSigma { get; init; } = double.NaN;
    /// <summary>How far it can be trusted.</summary>
    public required WindQuality Quality { get; init; }
    /// <summary>Why it is not good; of a good wind, what else to know of it.</summary>
    public required IReadOnlyList<WindQualityReason> Reasons { get; init; }
}

/// <summary>Line-of-sight winds of one exposure, view and line.</summary>
public sealed record LosWindProfile
{
    /// <summary>Middle of the exposure.</summary>
    public required Instant Time { get; init; }
    /// <summary>Exposure number.</summary>
    public required long Exposure { get; init; }
    /// <summary>View id.</summary>
    public required string View { get; init; }
    /// <summary>Line id.</summary>
    public required string Line { get; init; }
    /// <summary>Integration of the exposure, s, by which emissions of two exposures are compared; 1 where it is not known.</summary>
    public double IntegrationS { get; init; } = 1;
    /// <summary>One a detector row, in the detector's order.</summary>
    public required IReadOnlyList<LosWind> Rows { get; init; }
    /// <summary>Detector rows of the matrices below, lowest tangent height first; empty when nothing could be inverted.</summary>
    public int[] MatrixRows { get; init; } = [];
    /// <summary>
    /// Averaging kernel ∂(retrieved)/∂(true), row-major: <see cref="MatrixRows"/> × <see cref="KernelAltitudeKm"/> (Rodgers 2000, section 2.3). The prior mean is zero wind, so the
    /// truth seen through the kernel is this matrix times the true winds at those heights.
    /// </summary>
    public double[] AveragingKernel { get; init; } = [];
    /// <summary>Heights of the kernel's columns, km: the tangent heights and some above the top row, whose wind shines into every row.</summary>
    public double[] KernelAltitudeKm { get; init; } = [];
    /// <summary>Covariance of the winds against the winds at the points, (m/s)², row-major over <see cref="MatrixRows"/>.</summary>
    public double[] CovarianceM2S2 { get; init; } = [];
    /// <summary>Correlation length of the wind with height that the profile was regularised with, km.</summary>
    public double CorrelationKm { get; init; } = double.NaN;
    /// <summary>Fitted emission scale height above the top row, km.</summary>
    public double TopScaleHeightKm { get; init; } = double.NaN;
    /// <summary>χ² per row of the phases against the fitted profile, with the expected error of everything the inversion knows of.</summary>
    public double MisfitChiSquare { get; init; } = double.NaN;
}
