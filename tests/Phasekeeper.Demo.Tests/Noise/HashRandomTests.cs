using Phasekeeper.Demo.Noise;

namespace Phasekeeper.Demo.Tests.Noise;

public class HashRandomTests
{
    private const int Count = 200_000;

    [Fact]
    public void Normal_numbers_have_the_moments_and_tails_of_a_normal_distribution()
    {
        var random = new HashRandom(1, 2, 3);
        double s1 = 0, s2 = 0, s3 = 0, s4 = 0;
        int beyond2 = 0, beyond35 = 0;
        for (var i = 0; i < Count; i++)
        {
            var z = random.NextNormal();
            s1 += z;
            s2 += z * z;
            s3 += z * z * z;
            s4 += z * z * z * z;
            if (Math.Abs(z) > 2) beyond2++;
            if (Math.Abs(z) > 3.5) beyond35++;
        }
        // Four standard errors of each moment: sqrt(1, 2, 15, 96)/sqrt(n).
        var root = Math.Sqrt(Count);
        Assert.InRange(s1 / Count, -4 / root, 4 / root);
        Assert.InRange(s2 / Count, 1 - 5.7 / root, 1 + 5.7 / root);
        Assert.InRange(s3 / Count, -15.5 / root, 15.5 / root);
        Assert.InRange(s4 / Count, 3 - 39.2 / root, 3 + 39.2 / root);
        // P(|z| > 2) = 0.0455003, P(|z| > 3.5) = 0.000465258 (the ziggurat's tail begins at 3.44).
        Assert.InRange(beyond2, 0.0455 * Count - 4 * Math.Sqrt(0.0455 * Count), 0.0455 * Count + 4 * Math.Sqrt(0.0455 * Count));
        Assert.InRange(beyond35, 93 - 4 * 9.7, 93 + 4 * 9.7);
    }

    [Theory]
    [InlineData(0.05)]
    [InlineData(3)]
    [InlineData(29.5)]
    [InlineData(300)]
    public void Poisson_numbers_have_equal_mean_and_variance(double mean)
    {
        var random = new HashRandom(4, 5, 6);
        double s1 = 0, s2 = 0;
        for (var i = 0; i < Count; i++)
        {
            double k = random.NextPoisson(mean);
            s1 += k;
            s2 += (k - mean) * (k - mean);
        }
        Assert.InRange(s1 / Count, mean - 4 * Math.Sqrt(mean / Count), mean + 4 * Math.Sqrt(mean / Count));
        var variance = s2 / Count;
        var error = Math.Sqrt((mean + 2 * mean * mean) / Count);
        Assert.InRange(variance, mean - 4 * error, mean + 4 * error);
    }

    [Fact]
    public void Neighbouring_keys_give_unrelated_numbers()
    {
        double sum = 0;
        for (ulong k = 0; k < 50_000; k++) sum += new HashRandom(9, k, 0, 1).NextNormal() * new HashRandom(9, k + 1, 0, 1).NextNormal();
        Assert.InRange(sum / Math.Sqrt(50_000), -4, 4);
    }

    [Fact]
    public void Smooth_noise_joins_without_steps_and_has_a_spread_near_its_word()
    {
        var noise = new SmoothNoise(3, 4, 100);
        double s2 = 0, largest = 0;
        for (var t = -50_000; t < 50_000; t++)
        {
            s2 += noise.At(t) * noise.At(t);
            largest = Math.Max(largest, Math.Abs(noise.At(t + 1) - noise.At(t)));
        }
        Assert.InRange(Math.Sqrt(s2 / 100_000), 0.75, 0.95);
        Assert.True(largest < 0.1, $"largest step {largest}");
    }
}
