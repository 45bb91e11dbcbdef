using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Instrument;

namespace Phasekeeper.Core.Fringes;

/// <summary>
/// What is fixed for one view and line of a coefficient set: flat field, bad samples and the reference patterns of scene and lamp
/// with envelope, Ψ and (scene) Z, for motion zero. Rows of <see cref="Stride"/> samples, padded with zeros. Immutable.
/// Computed in double and stored in single precision: 6e-8 of a pattern is 1e-7 rad, 1e-4 m/s, of a row's phase.
/// </summary>
internal sealed class FringePatterns
{
    /// <summary>Prepares the patterns.</summary>
    public FringePatterns(InstrumentModel instrument, CoefficientSet coefficients, OpticsCoefficients optics, LineModel line)
    {
        int n = instrument.Samples, rows = instrument.Rows;
        Samples = n;
        Rows = rows;
        Stride = FitKernel.Padded(n);
        Flat = new float[rows * Stride];
        Good = new float[rows * Stride];
        SceneCos = new float[rows * Stride];
        SceneSin = new float[rows * Stride];
        LampCos = new float[rows * Stride];
        LampSin = new float[rows * Stride];
        None = new float[rows * Stride];
        Offset = new float[Stride];
        for (var i = 0; i < Stride; i++) Offset[i] = i < n ? (float)(i - instrument.CentreSample) : 0;
        for (var r = 0; r < rows; r++)
        {
            for (var i = 0; i < n; i++)
            {
                var at = r * Stride + i;
                var flat = optics.Flat is null ? 1 : optics.Flat[r][i];
                // A flat field of zero or below marks a sample that sees nothing.
                var usable = flat > 0 && double.IsFinite(flat);
                Flat[at] = usable ? (float)flat : 0;
                Good[at] = usable ? 1 : 0;
                var x = 2.0 * i / (n - 1) - 1;
                var modulation = Flat[at] * (1 + optics.EnvelopeM1 * x + optics.EnvelopeM2 * x * x);
                var distortion = optics.DistortionAt(i, r, n, rows);
                var scene = 2 * Math.PI * line.Cycles * (i - instrument.CentreSample) / n + distortion + optics.ZeroWindRad[r];
                var lamp = 2 * Math.PI * line.LampCycles * (i - instrument.CentreSample) / n + distortion;
                (SceneSin[at], SceneCos[at]) = ((float)(-modulation * Math.Sin(scene)), (float)(modulation * Math.Cos(scene)));
                (LampSin[at], LampCos[at]) = ((float)(-modulation * Math.Sin(lamp)), (float)(modulation * Math.Cos(lamp)));
            }
        }
        foreach (var bad in coefficients.BadSamples)
            if (bad.View == optics.View && bad.Line == optics.Line && bad.Row < rows && bad.Sample < n) Good[bad.Row * Stride + bad.Sample] = 0;
    }

    /// <summary>Samples N of a row.</summary>
    public int Samples { get; }
    /// <summary>Rows R.</summary>
    public int Rows { get; }
    /// <summary>Array length of a row, N rounded up.</summary>
    public int Stride { get; }
    /// <summary>f.</summary>
    public float[] Flat { get; }
    /// <summary>1 = good sample, 0 = bad or padding.</summary>
    public float[] Good { get; }
    /// <summary>f·m·cosθ of a scene at rest.</summary>
    public float[] SceneCos { get; }
    /// <summary>−f·m·sinθ of a scene at rest.</summary>
    public float[] SceneSin { get; }
    /// <summary>f·m·cosθ of the lamp.</summary>
    public float[] LampCos { get; }
    /// <summary>−f·m·sinθ of the lamp.</summary>
    public float[] LampSin { get; }
    /// <summary>No fringe: zeros.</summary>
    public float[] None { get; }
    /// <summary>u = i − i_c; 0 in the padding.</summary>
    public float[] Offset { get; }
}
