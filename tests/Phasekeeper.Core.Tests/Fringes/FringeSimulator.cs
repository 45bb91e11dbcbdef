using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Tests.Fringes;

/// <summary>
/// The forward model of one exposure, written from domain.md section 2 line by line and sharing nothing with the retrieval but the records
/// that hold the numbers. One row of R: mean electrons, then noise, counts and clipping.
/// </summary>
public sealed class FringeSimulator(InstrumentModel instrument, CoefficientSet set, string view, string line, NoiseSource noise)
{
    private const double SpeedOfLight = 299792458.0;
    private readonly LineModel lineModel = instrument.Lines.Single(l => l.Id == line);
    private readonly OpticsCoefficients optics = set.Optics.Single(o => o.View == view && o.Line == line);

    public double SpikeProbability { get; init; }
    public double SpikeMeanElectrons { get; init; } = 2000;
    /// <summary>Samples hit by spikes in the last exposure, [row][sample].</summary>
    public bool[][] Hit { get; } = [.. Enumerable.Range(0, instrument.Rows).Select(_ => new bool[instrument.Samples])];

    /// <summary>q_i at image shift s.</summary>
    public double[] Notch(double s) =>
        [.. Enumerable.Range(0, instrument.Samples).Select(i =>
            instrument.Fiducials.Aggregate(1.0, (q, k) => q * (1 - k.Depth * Math.Exp(-0.5 * Math.Pow((i - k.Sample - s) / k.WidthSamples, 2)))))];

    /// <summary>f·q of a row.</summary>
    public double[] Transmission(int row, double[] notch) => [.. notch.Select((q, i) => q * (optics.Flat?[row][i] ?? 1))];

    /// <summary>m(x).</summary>
    public double[] Envelope() => [.. Enumerable.Range(0, instrument.Samples).Select(i => X(i)).Select(x => 1 + optics.EnvelopeM1 * x + optics.EnvelopeM2 * x * x)];

    /// <summary>θ_i without motion, wind, drift and shift: 2πF(i − i_c)/N + Ψ (+ Z_r for a scene).</summary>
    public double[] Pattern(int row, bool lamp, double frequencyOffsetPpm = 0)
    {
        var cycles = (lamp ? lineModel.LampCycles : lineModel.Cycles) * (1 + frequencyOffsetPpm * 1e-6);
        var y = 2.0 * row / (instrument.Rows - 1) - 1;
        return [.. Enumerable.Range(0, instrument.Samples).Select(i =>
            2 * Math.PI * cycles * (i - Centre) / instrument.Samples
            + optics.DistortionRad.Select((a, j) => a.Select((v, k) => v * Math.Pow(X(i), j) * Math.Pow(y, k)).Sum()).Sum()
            + (lamp ? 0 : optics.ZeroWindRad[row]))];
    }

    /// <summary>κ_i, rad per m/s.</summary>
    public double Kappa(double i) =>
        2 * Math.PI / (lineModel.WavelengthVacuumNm * 1e-9) * (lineModel.OpdMm * 1e-3 + (i - Centre) * lineModel.OpdStepUm * 1e-6) / SpeedOfLight;

    public double Centre => (instrument.Samples - 1) / 2.0;

    private double X(int i) => 2.0 * i / (instrument.Samples - 1) - 1;

    /// <summary>Counts of a row whose fringe has phase θ_i and mean f·q·A·(1 + V·m·cosθ) on top of the dark.</summary>
    public ushort[] Row(int row, double[] transmission, double[] envelope, double[] phase, double signal, double visibility, double darkElectrons)
    {
        var counts = new ushort[instrument.Samples];
        for (var i = 0; i < counts.Length; i++)
        {
            var mean = darkElectrons + transmission[i] * signal * (1 + visibility * envelope[i] * Math.Cos(phase[i]));
            var electrons = noise.Poisson(mean) + instrument.ReadNoiseElectrons * noise.Gauss();
            Hit[row][i] = SpikeProbability > 0 && noise.Uniform() < SpikeProbability;
            if (Hit[row][i]) electrons += noise.Exponential(SpikeMeanElectrons);
            counts[i] = (ushort)Math.Clamp(Math.Round(electrons / instrument.ElectronsPerCount + set.Dark.BiasCounts), 0, 65535);
        }
        return counts;
    }

    /// <summary>A frame of this view and line.</summary>
    public FringeFrame Frame(ExposureKind kind, ushort[]?[] rows, double integrationS, long exposure = 1) => new()
    {
        Exposure = exposure,
        Kind = kind,
        View = view,
        Line = line,
        Time = Instant.FromUtc(2031, 3, 1),
        IntegrationS = integrationS,
        Rows = rows,
    };
}
