using Phasekeeper.Demo.Noise;

namespace Phasekeeper.Demo.ForwardModel;

/// <summary>
/// Turns the mean of a row into counts: the forward model of a row (fringes, flat, fiducials, dark) and its noise. One instance
/// serves one thread.
/// </summary>
public sealed class RowSynthesizer
{
    private readonly double[] mean = new double[Tern.Samples];

    /// <summary>Mean electrons of the row in hand, to which hot samples are added before <see cref="Expose"/>.</summary>
    public Span<double> Mean => mean;

    /// <summary>A row without light.</summary>
    public void Dark(double darkElectrons) => mean.AsSpan().Fill(darkElectrons);

    /// <summary>A row of white light.</summary>
    public void White(double darkElectrons, double[] flat, ReadOnlySpan<double> fiducials, double electrons)
    {
        for (var i = 0; i < mean.Length; i++) mean[i] = darkElectrons + flat[i] * fiducials[i] * electrons;
    }

    /// <summary>A row of fringes.</summary>
    /// <param name="darkElectrons">Dark electrons a sample.</param>
    /// <param name="flat">Flat field of the row.</param>
    /// <param name="fiducials">q_i(s).</param>
    /// <param name="pattern">m(x)·e^(jθ) of the row at rest: <see cref="OpticsTruth.ScenePattern"/> or LampPattern.</param>
    /// <param name="electrons">Signal A.</param>
    /// <param name="phaseRad">Phase at the middle sample that all samples share.</param>
    /// <param name="phaseStepRad">Change of that phase from sample to sample (motion).</param>
    /// <param name="light">Fringe amplitudes C0…C2 in electrons (A·V times the normalised moments).</param>
    /// <param name="kappaStep">Change of κ from sample to sample, rad per m/s.</param>
    public void Fringes(double darkElectrons, double[] flat, ReadOnlySpan<double> fiducials, double[] pattern, double electrons,
        double phaseRad, double phaseStepRad, in LineOfSightLight light, double kappaStep)
    {
        const double centre = (Tern.Samples - 1) / 2.0;
        var (sin, cos) = Math.SinCos(phaseRad - centre * phaseStepRad);
        var (stepSin, stepCos) = Math.SinCos(phaseStepRad);
        for (var i = 0; i < mean.Length; i++)
        {
            var delta = (i - centre) * kappaStep;
            var re = light.C0Re + delta * (light.C1Re + delta * light.C2Re);
            var im = light.C0Im + delta * (light.C1Im + delta * light.C2Im);
            double pr = pattern[2 * i], pi = pattern[2 * i + 1];
            double a = pr * cos - pi * sin, b = pr * sin + pi * cos;
            mean[i] = darkElectrons + flat[i] * fiducials[i] * (electrons + a * re - b * im);
            (cos, sin) = (cos * stepCos - sin * stepSin, sin * stepCos + cos * stepSin);
        }
    }

    /// <summary>
    /// Draws the counts of the row. Below 30 electrons the photon noise is exactly Poisson; above, a normal variable with Poisson's variance and skewness.
    /// </summary>
    public void Expose(ref HashRandom random, ReadOnlySpan<(int Sample, double Electrons)> spikes, Span<ushort> counts)
    {
        const double readVariance = Tern.ReadNoiseElectrons * Tern.ReadNoiseElectrons;
        Span<double> electrons = stackalloc double[Tern.Samples];
        for (var i = 0; i < electrons.Length; i++)
        {
            var m = mean[i];
            var z = random.NextNormal();
            if (m < 30)
            {
                electrons[i] = random.NextPoisson(m) + Tern.ReadNoiseElectrons * z;
            }
            else
            {
                var variance = m + readVariance;
                electrons[i] = m + Math.Sqrt(variance) * z + (z * z - 1) * m / (6 * variance);
            }
        }
        foreach (var (sample, hit) in spikes) electrons[sample] += hit;
        for (var i = 0; i < electrons.Length; i++)
            counts[i] = (ushort)Math.Clamp(Math.Round(electrons[i] / Tern.ElectronsPerCount + Tern.BiasCounts), 0, 65535);
    }
}
