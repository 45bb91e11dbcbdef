using System.Runtime.CompilerServices;

namespace Phasekeeper.Demo.Noise;

/// <summary>
/// Random numbers that are addressed, not drawn in turn: a generator is made from a key (seed, exposure, row …), so that the data
/// of any moment can be made without the data before it. The stream is SplitMix64 (Steele, Lea, Flood 2014, doi:10.1145/2660193.2660195).
/// </summary>
public struct HashRandom
{
    private ulong state;

    /// <summary>Generator of a key.</summary>
    public HashRandom(ulong seed, ulong a, ulong b = 0, ulong c = 0) =>
        state = Mix(Mix(Mix(Mix(seed) ^ (a * 0x9E3779B97F4A7C15UL)) ^ (b * 0xC2B2AE3D27D4EB4FUL)) ^ (c * 0x165667B19E3779F9UL));

    /// <summary>Next 64 random bits.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public ulong NextBits() => Mix(state += 0x9E3779B97F4A7C15UL);

    /// <summary>Uniform in (0, 1): never 0, so its logarithm is finite.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public double NextUniform() => ((NextBits() >> 11) + 0.5) * (1.0 / (1UL << 53));

    /// <summary>Uniform integer in 0…<paramref name="count"/>−1.</summary>
    public int NextIndex(int count) => (int)Math.BigMul(NextBits(), (ulong)count, out _);

    /// <summary>Exponential with the given mean.</summary>
    public double NextExponential(double mean) => -mean * Math.Log(NextUniform());

    /// <summary>Standard normal by the ziggurat of 128 layers (Marsaglia and Tsang 2000; tables as Doornik 2005).</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public double NextNormal()
    {
        var bits = NextBits();
        var layer = (int)(bits & 127);
        var u = ((long)bits >> 11) * (1.0 / (1L << 52));
        return Math.Abs(u) < Ziggurat.Ratio[layer] ? u * Ziggurat.Edge[layer] : NextNormalRare(layer, u);
    }

    /// <summary>
    /// Poisson count of a mean below about 700, exactly, by sequential search of the distribution. For larger means the normal
    /// approximation of the forward model is used instead.
    /// </summary>
    public int NextPoisson(double mean)
    {
        if (mean <= 0) return 0;
        var u = NextUniform();
        var p = Math.Exp(-mean);
        var sum = p;
        var k = 0;
        // Past mean + 60σ the sum has reached 1 to the last bit: the bound only guards against rounding.
        var limit = mean + 60 * Math.Sqrt(mean) + 60;
        while (u > sum && k < limit)
        {
            k++;
            p *= mean / k;
            sum += p;
        }
        return k;
    }

    private double NextNormalRare(int layer, double u)
    {
        while (true)
        {
            if (layer == 0)
            {
                double x, y;
                do
                {
                    x = -Math.Log(NextUniform()) / Ziggurat.Start;
                    y = -Math.Log(NextUniform());
                }
                while (y + y < x * x);
                return u < 0 ? -(Ziggurat.Start + x) : Ziggurat.Start + x;
            }
            var value = u * Ziggurat.Edge[layer];
            var f0 = Math.Exp(-0.5 * (Ziggurat.Edge[layer] * Ziggurat.Edge[layer] - value * value));
            var f1 = Math.Exp(-0.5 * (Ziggurat.Edge[layer + 1] * Ziggurat.Edge[layer + 1] - value * value));
            if (f1 + NextUniform() * (f0 - f1) < 1) return value;
            var bits = NextBits();
            layer = (int)(bits & 127);
            u = ((long)bits >> 11) * (1.0 / (1L << 52));
            if (Math.Abs(u) < Ziggurat.Ratio[layer]) return u * Ziggurat.Edge[layer];
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static ulong Mix(ulong z)
    {
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9UL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBUL;
        return z ^ (z >> 31);
    }

    private static class Ziggurat
    {
        public const double Start = 3.442619855899;
        private const double Area = 9.91256303526217e-3;
        public static readonly double[] Edge = new double[129];
        public static readonly double[] Ratio = new double[128];

        static Ziggurat()
        {
            var f = Math.Exp(-0.5 * Start * Start);
            Edge[0] = Area / f;
            Edge[1] = Start;
            for (var i = 2; i < 128; i++)
            {
                Edge[i] = Math.Sqrt(-2 * Math.Log(Area / Edge[i - 1] + f));
                f = Math.Exp(-0.5 * Edge[i] * Edge[i]);
            }
            Edge[128] = 0;
            for (var i = 0; i < 128; i++) Ratio[i] = Edge[i + 1] / Edge[i];
        }
    }
}
