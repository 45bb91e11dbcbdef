using Phasekeeper.Core.Instrument;

namespace Phasekeeper.Core.Fringes;

/// <summary>
/// Transmission of the fiducials at an image shift s: q_i(s) = Π_k 1 − depth·exp(−½((i − p_k − s)/width)²) (domain.md section 2), its derivative
/// in s, and the samples near them.
/// </summary>
internal sealed class FiducialNotches(IReadOnlyList<Fiducial> fiducials, int samples)
{
    // exp(−½·6²) = 1.5e-8: beyond six widths a notch is not there.
    private const double ReachWidths = 6;

    /// <summary>True when there is anything to measure a shift with.</summary>
    public bool Any => fiducials.Count > 0;

    /// <summary>Width of the narrowest notch, samples; NaN without one.</summary>
    public double NarrowestSamples { get; } = fiducials.Count > 0 ? fiducials.Min(f => f.WidthSamples) : double.NaN;

    /// <summary>Fills q and dq/ds of every sample at <paramref name="shift"/>; q is 1 and dq/ds 0 in the padding.</summary>
    public void Fill(double shift, FiducialWindow window)
    {
        window.Transmission.AsSpan().Fill(1);
        window.Slope.AsSpan().Clear();
        foreach (var f in fiducials)
        {
            var (from, to) = Range(f, shift, ReachWidths * f.WidthSamples);
            for (var i = from; i <= to; i++)
            {
                var z = (i - f.Sample - shift) / f.WidthSamples;
                var dip = f.Depth * Math.Exp(-0.5 * z * z);
                // The product rule, one notch after the other: notches may overlap.
                window.Slope[i] = (float)(window.Slope[i] * (1 - dip) - window.Transmission[i] * dip * z / f.WidthSamples);
                window.Transmission[i] = (float)(window.Transmission[i] * (1 - dip));
            }
        }
    }

    /// <summary>
    /// Marks the samples within <paramref name="widths"/> widths plus <paramref name="margin"/> samples of a notch at <paramref name="shift"/>, and the
    /// vectors that hold one.
    /// </summary>
    public void Mark(double shift, double widths, double margin, FiducialWindow window)
    {
        window.Far.AsSpan().Fill(1);
        foreach (var f in fiducials)
        {
            var (from, to) = Range(f, shift, widths * f.WidthSamples + margin);
            for (var i = from; i <= to; i++) window.Far[i] = 0;
        }
        window.Blocks = 0;
        for (var block = 0; block < window.Far.Length; block += FitKernel.Width)
            if (window.Far.AsSpan(block, FitKernel.Width).Contains(0)) window.BlockStarts[window.Blocks++] = block;
    }

    private (int From, int To) Range(Fiducial f, double shift, double reach) =>
        (Math.Max(0, (int)Math.Ceiling(f.Sample + shift - reach)), Math.Min(samples - 1, (int)Math.Floor(f.Sample + shift + reach)));
}

/// <summary>The fiducials over a row at one image shift; arrays of a row's padded length.</summary>
internal sealed class FiducialWindow
{
    public FiducialWindow(int samples)
    {
        var stride = FitKernel.Padded(samples);
        Transmission = new float[stride];
        Slope = new float[stride];
        Far = new float[stride];
        BlockStarts = new int[stride / FitKernel.Width];
        Transmission.AsSpan().Fill(1);
        Far.AsSpan().Fill(1);
    }

    /// <summary>q.</summary>
    public float[] Transmission { get; }
    /// <summary>dq/ds, a sample.</summary>
    public float[] Slope { get; }
    /// <summary>1 away from notches, 0 near one.</summary>
    public float[] Far { get; }
    /// <summary>Where vectors begin that hold a sample near a notch; the first <see cref="Blocks"/> count.</summary>
    public int[] BlockStarts { get; }
    /// <summary>See <see cref="BlockStarts"/>.</summary>
    public int Blocks { get; set; }

    /// <summary>The block starts that count.</summary>
    public ReadOnlySpan<int> Near => BlockStarts.AsSpan(0, Blocks);
}
