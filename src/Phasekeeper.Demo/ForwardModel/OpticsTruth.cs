using Phasekeeper.Core.Instrument;
using Phasekeeper.Demo.Noise;

namespace Phasekeeper.Demo.ForwardModel;

/// <summary>What one view and line of the instrument is really like. The ground calibration knows it only within its uncertainty.</summary>
public sealed class OpticsTruth
{
    /// <summary>View.</summary>
    public required ViewModel View { get; init; }
    /// <summary>Line.</summary>
    public required LineModel Line { get; init; }
    /// <summary>0…3: view index · 2 + line index.</summary>
    public required int Index { get; init; }
    /// <summary>Flat field, [row][sample].</summary>
    public required double[][] Flat { get; init; }
    /// <summary>Ψ = Σ a[j][k] x^j y^k, rad.</summary>
    public required double[][] DistortionRad { get; init; }
    /// <summary>Z_r, rad.</summary>
    public required double[] ZeroWindRad { get; init; }
    /// <summary>Fringe visibility at the scenario's start.</summary>
    public required double Visibility { get; init; }
    /// <summary>Visibility on the lamp at the scenario's start.</summary>
    public required double LampVisibility { get; init; }
    /// <summary>m1, m2 of the visibility envelope.</summary>
    public required (double M1, double M2) Envelope { get; init; }
    /// <summary>k, rad/K.</summary>
    public required double RadPerK { get; init; }
    /// <summary>ρ: airglow drift = ρ · lamp drift.</summary>
    public required double LampRatio { get; init; }
    /// <summary>Lamp phase at the reference temperature, rad.</summary>
    public required double LampPhaseRad { get; init; }
    /// <summary>Lamp signal per sample at the scenario's start, electrons.</summary>
    public required double LampElectrons { get; init; }
    /// <summary>Ageing of the optical path, rad a day.</summary>
    public required double AgeingRadPerDay { get; init; }
    /// <summary>Extra drift of a heater that fails: a gradient across the interferometer, rad at full deficit.</summary>
    public required double GradientRad { get; init; }
    /// <summary>Sensitivity: electrons per second, per photon/(cm³ s) and km of path.</summary>
    public required double Gain { get; init; }
    /// <summary>Samples with high dark current: row, sample, day on which it began (negative: before the launch calibration), electrons/s at −20 °C.</summary>
    public required (int Row, int Sample, double OnsetDay, double RatePerS)[] HotSamples { get; init; }

    /// <summary>m(x)·exp(j(2πF(i−i_c)/N + Ψ)) of scenes, real and imaginary, [row][2·N].</summary>
    public double[][] ScenePattern { get; private set; } = [];
    /// <summary>The same of the lamp's fringes.</summary>
    public double[][] LampPattern { get; private set; } = [];

    /// <summary>κ at sample i_c, rad per m/s.</summary>
    public double Kappa => 2 * Math.PI / (Line.WavelengthVacuumNm * 1e-9) * Line.OpdMm * 1e-3 / LineModel.SpeedOfLightMs;
    /// <summary>Change of κ from sample to sample, rad per m/s.</summary>
    public double KappaStep => 2 * Math.PI / (Line.WavelengthVacuumNm * 1e-9) * Line.OpdStepUm * 1e-6 / LineModel.SpeedOfLightMs;

    /// <summary>Works out the patterns that never change.</summary>
    public OpticsTruth WithPatterns()
    {
        ScenePattern = Pattern(Line.Cycles);
        LampPattern = Pattern(Line.LampCycles);
        return this;
    }

    private double[][] Pattern(double cycles)
    {
        const int n = Tern.Samples, r = Tern.Rows;
        var result = new double[r][];
        for (var row = 0; row < r; row++)
        {
            var y = 2.0 * row / (r - 1) - 1;
            result[row] = new double[2 * n];
            for (var i = 0; i < n; i++)
            {
                var x = 2.0 * i / (n - 1) - 1;
                double psi = 0;
                for (var j = 0; j < DistortionRad.Length; j++)
                    for (var k = 0; k < DistortionRad[j].Length; k++)
                        psi += DistortionRad[j][k] * Math.Pow(x, j) * Math.Pow(y, k);
                var m = 1 + Envelope.M1 * x + Envelope.M2 * x * x;
                var (sin, cos) = Math.SinCos(2 * Math.PI * cycles * (i - (n - 1) / 2.0) / n + psi);
                result[row][2 * i] = m * cos;
                result[row][2 * i + 1] = m * sin;
            }
        }
        return result;
    }

    internal static double[][] MakeFlat(ulong seed, int index)
    {
        var flat = new double[Tern.Rows][];
        for (var row = 0; row < Tern.Rows; row++)
        {
            flat[row] = new double[Tern.Samples];
            var random = new HashRandom(seed, 0xF1A7, (ulong)index, (ulong)row);
            for (var i = 0; i < Tern.Samples; i++)
            {
                var x = 2.0 * i / (Tern.Samples - 1) - 1;
                var y = 2.0 * row / (Tern.Rows - 1) - 1;
                flat[row][i] = 1 + 0.02 * random.NextNormal() + 0.015 * x - 0.03 * x * x - 0.02 * y * y;
            }
        }
        return flat;
    }
}
