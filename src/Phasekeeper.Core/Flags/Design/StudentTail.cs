namespace Phasekeeper.Core.Flags.Design;

/// <summary>Upper tail of Student's t for an even number of degrees of freedom, in closed form (M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, 26.7.4).</summary>
public static class StudentTail
{
    /// <summary>P(T &gt; t), t ≥ 0, ν even.</summary>
    public static double Upper(double t, int degrees)
    {
        if (degrees < 2 || degrees % 2 != 0) throw new ArgumentOutOfRangeException(nameof(degrees), degrees, "Expected an even number of at least 2.");
        var sin = t / Math.Sqrt(degrees + t * t);
        var cos2 = degrees / (degrees + t * t);
        double term = 1, sum = 1;
        for (var k = 1; k <= degrees / 2 - 1; k++)
        {
            term *= (2 * k - 1) / (2.0 * k) * cos2;
            sum += term;
        }
        return 0.5 * (1 - sin * sum);
    }
}
