namespace Phasekeeper.Core.Tests.Fringes;

/// <summary>Fast random numbers for the forward model: xoshiro256++ (Blackman and Vigna 2021, doi 10.1145/3460772), seeded by SplitMix64.</summary>
public sealed class NoiseSource
{
    private ulong a, b, c, d;
    private double spare;
    private bool hasSpare;

    public NoiseSource(ulong seed)
    {
        ulong Next()
        {
            seed += 0x9E3779B97F4A7C15;
            var z = seed;
            z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
            z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
            return z ^ (z >> 31);
        }
        (a, b, c, d) = (Next(), Next(), Next(), Next());
    }

    /// <summary>Uniform in (0, 1).</summary>
    public double Uniform()
    {
        var result = System.Numerics.BitOperations.RotateLeft(a + d, 23) + a;
        var t = b << 17;
        c ^= a;
        d ^= b;
        b ^= c;
        a ^= d;
        c ^= t;
        d = System.Numerics.BitOperations.RotateLeft(d, 45);
        return ((result >> 11) + 0.5) * (1.0 / (1UL << 53));
    }

    public double Uniform(double low, double high) => low + (high - low) * Uniform();

    /// <summary>Standard normal, Marsaglia's polar method.</summary>
    public double Gauss()
    {
        if (hasSpare)
        {
            hasSpare = false;
            return spare;
        }
        while (true)
        {
            double x = 2 * Uniform() - 1, y = 2 * Uniform() - 1, r = x * x + y * y;
            if (r is >= 1 or 0) continue;
            var k = Math.Sqrt(-2 * Math.Log(r) / r);
            spare = y * k;
            hasSpare = true;
            return x * k;
        }
    }

    public double Exponential(double mean) => -mean * Math.Log(Uniform());

    /// <summary>
    /// Poisson: multiplication below 10; transformed rejection with squeeze above (Hörmann 1993, doi 10.1016/0167-6687(93)90997-4, algorithm PTRS).
    /// </summary>
    public double Poisson(double mean)
    {
        if (mean <= 0) return 0;
        if (mean < 10)
        {
            double limit = Math.Exp(-mean), product = Uniform();
            var n = 0;
            while (product > limit)
            {
                product *= Uniform();
                n++;
            }
            return n;
        }
        double root = Math.Sqrt(mean), bb = 0.931 + 2.53 * root, aa = -0.059 + 0.02483 * bb;
        double inverse = 1.1239 + 1.1328 / (bb - 3.4), vr = 0.9277 - 3.6224 / (bb - 2);
        while (true)
        {
            double u = Uniform() - 0.5, v = Uniform(), us = 0.5 - Math.Abs(u);
            var k = Math.Floor((2 * aa / us + bb) * u + mean + 0.43);
            if (us >= 0.07 && v <= vr) return k;
            if (k < 0 || (us < 0.013 && v > us)) continue;
            if (Math.Log(v * inverse / (aa / (us * us) + bb)) <= k * Math.Log(mean) - mean - LogFactorial(k)) return k;
        }
    }

    // Stirling's series; for k ≥ 10 good to 1e-12. Below, the sum itself.
    private static double LogFactorial(double k)
    {
        if (k < 10)
        {
            var sum = 0.0;
            for (var i = 2; i <= k; i++) sum += Math.Log(i);
            return sum;
        }
        var x = k + 1;
        return (x - 0.5) * Math.Log(x) - x + 0.91893853320467274 + 1 / (12 * x) - 1 / (360 * x * x * x) + 1 / (1260 * x * x * x * x * x);
    }
}
