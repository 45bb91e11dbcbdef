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

    /// <summary>Fills q for every sample, 1 in the padding.</summary>
    public void Transmission(double shift, Span<double> q)
    {
        q.Fill(1);
        foreach (var f in fiducials)
        {
            var (from, to) = Span(f, shift, ReachWidths * f.WidthSamples);
            for (var i = from; i <= to; i++) q[i] *= 1 - f.Depth * Gauss(f, i, shift);
        }
    }

    /// <summary>q at one sample.</summary>
    public double TransmissionAt(int sample, double shift)
    {
        var q = 1.0;
        foreach (var f in fiducials) q *= 1 - f.Depth * Gauss(f, sample, shift);
        return q;
    }

    /// <summary>dq_i/ds per sample.</summary>
    public double Derivative(int sample, double shift)
    {
        var sum = 0.0;
        for (var k = 0; k < fiducials.Count; k++)
        {
            var product = -fiducials[k].Depth * Gauss(fiducials[k], sample, shift) * (sample - fiducials[k].Sample - shift)
                / (fiducials[k].WidthSamples * fiducials[k].WidthSamples);
            for (var j = 0; j < fiducials.Count; j++)
                if (j != k) product *= 1 - fiducials[j].Depth * Gauss(fiducials[j], sample, shift);
            sum += product;
        }
        return sum;
    }

    /// <summary>
    /// Writes the samples within <paramref name="widths"/> widths plus <paramref name="margin"/> samples of a notch, ascending and each
    /// once, to <paramref name="into"/> (length N) and returns how many.
    /// </summary>
    public int SamplesNear(double shift, double widths, double margin, Span<int> into)
    {
        var count = 0;
        for (var i = 0; i < samples; i++)
            foreach (var f in fiducials)
                if (Math.Abs(i - f.Sample - shift) <= widths * f.WidthSamples + margin)
                {
                    into[count++] = i;
                    break;
                }
        return count;
    }

    private static double Gauss(Fiducial f, int sample, double shift)
    {
        var z = (sample - f.Sample - shift) / f.WidthSamples;
        return Math.Exp(-0.5 * z * z);
    }

    private (int From, int To) Span(Fiducial f, double shift, double reach) =>
        (Math.Max(0, (int)Math.Ceiling(f.Sample + shift - reach)), Math.Min(samples - 1, (int)Math.Floor(f.Sample + shift + reach)));
}
