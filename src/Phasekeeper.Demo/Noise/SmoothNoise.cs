namespace Phasekeeper.Demo.Noise;

/// <summary>
/// A smooth random function of time: standard normal values at knots a fixed number of seconds apart, joined by Catmull–Rom
/// splines. Any moment can be asked without the moments before it. Standard deviation near 0.85.
/// </summary>
public readonly struct SmoothNoise(ulong seed, ulong channel, double knotSeconds)
{
    /// <summary>Value at seconds since the scenario's start (negative is allowed).</summary>
    public double At(double seconds)
    {
        var x = seconds / knotSeconds;
        var k = (long)Math.Floor(x);
        var f = x - k;
        double a = Knot(k - 1), b = Knot(k), c = Knot(k + 1), d = Knot(k + 2);
        return b + 0.5 * f * (c - a + f * (2 * a - 5 * b + 4 * c - d + f * (3 * (b - c) + d - a)));
    }

    private double Knot(long k) => new HashRandom(seed, 0x4E01, channel, (ulong)k).NextNormal();
}
