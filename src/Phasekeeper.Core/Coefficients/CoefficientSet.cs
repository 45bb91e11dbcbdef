using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Coefficients;

/// <summary>
/// All numbers that turn telemetry into winds (domain.md section 6, contract.md section 2). Immutable.
/// The forward model that gives each number its meaning is domain.md section 2.
/// </summary>
public sealed record CoefficientSet
{
    /// <summary>Name of the set.</summary>
    public required string Name { get; init; }
    /// <summary>Takes effect at the first ascending node at or after this; the first set of a mission from the beginning.</summary>
    public required Instant ValidFrom { get; init; }
    /// <summary>Dark law.</summary>
    public required DarkLaw Dark { get; init; }
    /// <summary>One a view and line.</summary>
    public required IReadOnlyList<OpticsCoefficients> Optics { get; init; }
    /// <summary>Image-shift law per view.</summary>
    public required IReadOnlyList<ImageShiftLaw> ImageShift { get; init; }
    /// <summary>Samples never used.</summary>
    public IReadOnlyList<BadSample> BadSamples { get; init; } = [];

    /// <summary>The optics of a view and line; null when the set has none.</summary>
    public OpticsCoefficients? OpticsOf(string view, string line) => Optics.FirstOrDefault(o => o.View == view && o.Line == line);

    /// <summary>The image-shift law of a view; a law of zeros when the set has none.</summary>
    public ImageShiftLaw ImageShiftOf(string view) =>
        ImageShift.FirstOrDefault(s => s.View == view) ?? new ImageShiftLaw(view, 0, 0, 0);
}

/// <summary>Dark current per sample: rate·2^((T−ref)/doubling) electrons/s, on a bias in counts. A doubling of 0 means no temperature dependence.</summary>
public sealed record DarkLaw(double BiasCounts, double RateElectronsPerS, double ReferenceC, double DoublingK)
{
    /// <summary>Dark rate at a detector temperature, electrons/s per sample.</summary>
    public double RateAt(double detectorC) => DoublingK == 0 ? RateElectronsPerS : RateElectronsPerS * Math.Pow(2, (detectorC - ReferenceC) / DoublingK);
}

/// <summary>Coefficients of one view and line.</summary>
public sealed record OpticsCoefficients
{
    /// <summary>View id.</summary>
    public required string View { get; init; }
    /// <summary>Line id.</summary>
    public required string Line { get; init; }
    /// <summary>Flat field f, [row][sample]; null = 1 everywhere.</summary>
    public double[][]? Flat { get; init; }
    /// <summary>Ψ = Σ a[j][k]·x^j·y^k, rad; x along the row and y along the rows, both −1…1.</summary>
    public required double[][] DistortionRad { get; init; }
    /// <summary>Zero-wind phase Z_r, rad; one a row.</summary>
    public required double[] ZeroWindRad { get; init; }
    /// <summary>Reference fringe visibility V of a scene.</summary>
    public required double Visibility { get; init; }
    /// <summary>m1 and m2 of the visibility envelope m(x) = 1 + m1·x + m2·x².</summary>
    public double EnvelopeM1 { get; init; }
    /// <summary>See <see cref="EnvelopeM1"/>.</summary>
    public double EnvelopeM2 { get; init; }
    /// <summary>Thermal law of the optical drift.</summary>
    public required ThermalLaw Thermal { get; init; }
    /// <summary>ρ: airglow drift = ρ · lamp drift.</summary>
    public required double LampRatio { get; init; }
    /// <summary>Lamp phase at T_lag = reference and zero image shift, rad.</summary>
    public required double LampPhaseRad { get; init; }
    /// <summary>Reference lamp signal A per sample, electrons.</summary>
    public required double LampElectrons { get; init; }
    /// <summary>Reference lamp visibility.</summary>
    public required double LampVisibility { get; init; }

    /// <summary>Ψ at a sample and row of an N × R detector, rad.</summary>
    public double DistortionAt(int sample, int row, int samples, int rows)
    {
        var x = 2.0 * sample / (samples - 1) - 1;
        var y = rows > 1 ? 2.0 * row / (rows - 1) - 1 : 0;
        double sum = 0, xj = 1;
        foreach (var term in DistortionRad)
        {
            double yk = 1, inner = 0;
            foreach (var a in term) { inner += a * yk; yk *= y; }
            sum += xj * inner;
            xj *= x;
        }
        return sum;
    }
}

/// <summary>φ_opt = RadPerK·(T_lag − ReferenceC); T_lag is the interferometer's temperature through a first-order lag of LagS seconds.</summary>
public sealed record ThermalLaw(double RadPerK, double LagS, double ReferenceC);

/// <summary>s = OffsetSamples + SamplesPerK·(bench − ReferenceC): the prior of a view's image shift.</summary>
public sealed record ImageShiftLaw(string View, double SamplesPerK, double ReferenceC, double OffsetSamples)
{
    /// <summary>Predicted shift at a bench temperature, samples.</summary>
    public double ShiftAt(double benchC) => OffsetSamples + SamplesPerK * (benchC - ReferenceC);
}

/// <summary>A sample that is never used.</summary>
public sealed record BadSample(string View, string Line, int Row, int Sample);
