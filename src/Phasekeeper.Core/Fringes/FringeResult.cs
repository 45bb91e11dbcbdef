using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Fringes;

/// <summary>Why a row has, or has not, a phase.</summary>
public enum RowStatus : byte
{
    /// <summary>Retrieved; the numbers of the row are valid.</summary>
    Ok = 0,
    /// <summary>No packet of this row arrived.</summary>
    Missing = 1,
    /// <summary>Too few usable samples were left (saturated, bad, spikes).</summary>
    TooFewSamples = 2,
    /// <summary>No fringe could be told from noise; the phase is not usable.</summary>
    NoFringe = 3,
    /// <summary>The fit did not settle.</summary>
    NotConverged = 4,
    /// <summary>The motion of satellite and Earth is not known for this scene row (no orbit), so no phase can be referred to it.</summary>
    NoMotion = 5,
}

/// <summary>
/// What retrieval found in one exposure of one view and line: vectors over the detector's rows (length R). A value counts only
/// where <see cref="Status"/> is Ok; elsewhere it is NaN and is stored and shown as missing.
/// </summary>
public sealed record FringeResult
{
    /// <summary>Exposure number.</summary>
    public required long Exposure { get; init; }
    /// <summary>Kind of exposure.</summary>
    public required ExposureKind Kind { get; init; }
    /// <summary>View id.</summary>
    public required string View { get; init; }
    /// <summary>Line id.</summary>
    public required string Line { get; init; }
    /// <summary>Middle of the exposure.</summary>
    public required Instant Time { get; init; }
    /// <summary>Integration time, s.</summary>
    public required double IntegrationS { get; init; }
    /// <summary>Status of each row.</summary>
    public required RowStatus[] Status { get; init; }
    /// <summary>Phase, rad, as contract.md section 4 defines it for scenes and lamps; NaN for dark and flat.</summary>
    public required double[] PhaseRad { get; init; }
    /// <summary>1σ of the phase, rad.</summary>
    public required double[] PhaseSigmaRad { get; init; }
    /// <summary>Fringe visibility V (at x = 0), –.</summary>
    public required double[] Visibility { get; init; }
    /// <summary>1σ of the visibility.</summary>
    public required double[] VisibilitySigma { get; init; }
    /// <summary>Signal A per sample, electrons (dark: mean electrons per sample above the bias).</summary>
    public required double[] SignalElectrons { get; init; }
    /// <summary>1σ of the signal, electrons.</summary>
    public required double[] SignalSigmaElectrons { get; init; }
    /// <summary>χ² per degree of freedom of the row's fit.</summary>
    public required double[] ChiSquare { get; init; }
    /// <summary>Samples masked as spikes, bad, or saturated.</summary>
    public required int[] MaskedSamples { get; init; }
    /// <summary>Of these: left the fringe model by more than 5σ (energetic particles).</summary>
    public required int[] SpikeSamples { get; init; }
    /// <summary>Of these: at or above the saturation count.</summary>
    public required int[] SaturatedSamples { get; init; }
    /// <summary>Motion w0 = (ω⊕ × r_t)·û − v_sc·û that was taken out of a scene row, m/s; 0 for other kinds.</summary>
    public required double[] VelocityRemovedMs { get; init; }
    /// <summary>This exposure's own image shift from the fiducials of all rows, samples; NaN when it cannot be measured.</summary>
    public required double ImageShiftSamples { get; init; }
    /// <summary>1σ of <see cref="ImageShiftSamples"/>.</summary>
    public required double ImageShiftSigmaSamples { get; init; }
    /// <summary>Detector temperature used for the dark, °C; NaN when none was known and the law's reference was used.</summary>
    public required double DetectorC { get; init; }
    /// <summary>Fringe cycles fitted on a lamp exposure relative to the reference, ppm; NaN for other kinds.</summary>
    public double FrequencyOffsetPpm { get; init; } = double.NaN;
    /// <summary>1σ of <see cref="FrequencyOffsetPpm"/>.</summary>
    public double FrequencyOffsetSigmaPpm { get; init; } = double.NaN;
    /// <summary>Mean dark rate over all good samples of a dark exposure, electrons/s per sample; NaN for other kinds.</summary>
    public double DarkRateElectronsPerS { get; init; } = double.NaN;
    /// <summary>1σ of <see cref="DarkRateElectronsPerS"/>.</summary>
    public double DarkRateSigmaElectronsPerS { get; init; } = double.NaN;
    /// <summary>Samples of a dark exposure over the hot threshold, as row·N + sample; empty for other kinds.</summary>
    public int[] HotSamples { get; init; } = [];
}
