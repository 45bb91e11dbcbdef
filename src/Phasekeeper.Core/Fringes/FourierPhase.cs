using System.Numerics;
using MathNet.Numerics.IntegralTransforms;

namespace Phasekeeper.Core.Fringes;

/// <summary>
/// The literature's route to a fringe phase, the cross-check of the maximum-likelihood fit: flat field, Fourier transform, a window around
/// the fringe's peak, inverse transform, arctangent, and the mean difference to a reference over the inner samples.
/// </summary>
/// <remarks>
/// Concept: Englert, Babcock, Harlander 2007, Appl. Opt. 46, 7297, doi 10.1364/AO.46.007297. The exact steps are those of
/// tests/reference/make/fringes.py: window w_k = ½·(1 + cos(π(k − k0)/h)) for |k − k0| ≤ h, zero elsewhere. Unweighted, it reaches
/// at best 2/(N·A·V²) in variance, and it needs the fringe frequency within the window; measured beside the fit by the benchmark <c>accuracy</c>.
/// </remarks>
public sealed class FourierPhase
{
    private readonly int centreBin, halfWidth, from, to;

    /// <summary>Sets the window around bin <paramref name="centreBin"/> and the samples [<paramref name="from"/>, <paramref name="to"/>) that are averaged.</summary>
    public FourierPhase(int centreBin, int halfWidth, int from, int to)
    {
        if (halfWidth < 1 || centreBin - halfWidth < 1)
            throw new ArgumentException($"Window {centreBin} ± {halfWidth} bins: it must be at least 1 wide and end above bin 0.");
        if (from < 0 || to <= from) throw new ArgumentException($"Samples {from} to {to} (exclusive): at least one is expected.");
        (this.centreBin, this.halfWidth, this.from, this.to) = (centreBin, halfWidth, from, to);
    }

    /// <summary>
    /// The complex fringe of a row: divides by <paramref name="transmission"/>, subtracts the mean, keeps the window around the fringe's positive frequency.
    /// </summary>
    public Complex[] Analytic(ReadOnlySpan<double> electrons, ReadOnlySpan<double> transmission)
    {
        var n = electrons.Length;
        if (transmission.Length != n) throw new ArgumentException($"{n} samples, but {transmission.Length} of flat field.");
        if (centreBin + halfWidth >= n || to > n) throw new ArgumentException($"Window {centreBin} ± {halfWidth} bins and samples up to {to} do not fit {n} samples.");
        var z = new Complex[n];
        var mean = 0.0;
        for (var i = 0; i < n; i++)
        {
            var flat = electrons[i] / transmission[i];
            z[i] = flat;
            mean += flat;
        }
        mean /= n;
        for (var i = 0; i < n; i++) z[i] -= mean;
        Fourier.Forward(z, FourierOptions.AsymmetricScaling);
        for (var k = 0; k < n; k++)
            z[k] *= Math.Abs(k - centreBin) <= halfWidth ? 0.5 * (1 + Math.Cos(Math.PI * (k - centreBin) / halfWidth)) : 0;
        Fourier.Inverse(z, FourierOptions.AsymmetricScaling);
        return z;
    }

    /// <summary>Mean over the inner samples of arg(z_i·conj(reference_i)), rad: right while the single differences stay inside (−π, π].</summary>
    public double Difference(ReadOnlySpan<Complex> fringe, ReadOnlySpan<Complex> reference)
    {
        var sum = 0.0;
        for (var i = from; i < to; i++) sum += (fringe[i] * Complex.Conjugate(reference[i])).Phase;
        return sum / (to - from);
    }
}
