namespace Phasekeeper.Core.Flags.Design;

/// <summary>
/// False-alarm rates of limits on a Gaussian series with lag-1 autocorrelation ρ (AR(1)), per point.
/// <para>A run of at least p points above k starts at a point with probability P_p − P_{p+1}, where P_p = P(x_1 &gt; k, …, x_p &gt; k);
/// P_p is integrated by Gauss–Legendre quadrature over the AR(1) transition density. Charts have run lengths of their own: <see cref="Statistics.RunLength"/>.</para>
/// Valid for 0 ≤ ρ &lt; 1; accuracy as measured by FalseAlarmDesignTests.
/// </summary>
public static class FalseAlarmDesign
{
    // Nodes and weights on −1…1, made once by Newton's method on the Legendre polynomial.
    private static readonly (double X, double W)[] Nodes = GaussLegendre(64);

    /// <summary>P(X &gt; x) of a standard Gaussian; relative error below 2e-7 (Chebyshev fit of erfc, W. H. Press et al., Numerical Recipes, 3rd ed., section 6.2.2).</summary>
    public static double UpperTail(double x) => 0.5 * Erfc(x / Math.Sqrt(2));

    /// <summary>Probability that p successive points all exceed k σ.</summary>
    public static double AllAbove(double k, double rho, int p)
    {
        if (p <= 0) return 1;
        if (p == 1 || double.IsPositiveInfinity(k)) return UpperTail(k);
        if (rho == 0) return Math.Pow(UpperTail(k), p);
        // f(x) = density of the last point with all so far above k, on [k, k + 9]: beyond, less than 1e-18 of it is left.
        var half = 4.5;
        var xs = Array.ConvertAll(Nodes, n => k + half * (1 + n.X));
        var f = Array.ConvertAll(xs, Density);
        var s = Math.Sqrt(1 - rho * rho);
        for (var step = 1; step < p; step++)
        {
            var next = new double[xs.Length];
            for (var j = 0; j < xs.Length; j++)
            {
                double sum = 0;
                for (var i = 0; i < xs.Length; i++) sum += Nodes[i].W * half * f[i] * Density((xs[j] - rho * xs[i]) / s) / s;
                next[j] = sum;
            }
            f = next;
        }
        double total = 0;
        for (var i = 0; i < xs.Length; i++) total += Nodes[i].W * half * f[i];
        return total;
    }

    /// <summary>Starts of runs of at least p points above k σ, per point; both sides when <paramref name="twoSided"/>.</summary>
    public static double RunStarts(double k, double rho, int p, bool twoSided) =>
        (AllAbove(k, rho, p) - AllAbove(k, rho, p + 1)) * (twoSided ? 2 : 1);

    /// <summary>P(at least m of n independent trials).</summary>
    public static double AtLeast(int m, int n, double p)
    {
        if (m <= 0) return 1;
        double term = 1, sum = 0;
        for (var i = 1; i <= m; i++) term *= (n - m + i) / (double)i * p;
        term *= Math.Pow(1 - p, n - m);
        for (var i = m; i <= n; i++)
        {
            sum += term;
            term *= (n - i) / (double)(i + 1) * p / (1 - p);
        }
        return Math.Min(1, sum);
    }

    private static double Density(double x) => Math.Exp(-0.5 * x * x) / Math.Sqrt(2 * Math.PI);

    private static double Erfc(double x)
    {
        var z = Math.Abs(x);
        var t = 2 / (2 + z);
        var y = t * Math.Exp(-z * z - 1.26551223 + t * (1.00002368 + t * (0.37409196 + t * (0.09678418 + t * (-0.18628806
            + t * (0.27886807 + t * (-1.13520398 + t * (1.48851587 + t * (-0.82215223 + t * 0.17087277)))))))));
        return x >= 0 ? y : 2 - y;
    }

    private static (double X, double W)[] GaussLegendre(int n)
    {
        var nodes = new (double, double)[n];
        for (var i = 0; i < n; i++)
        {
            var x = Math.Cos(Math.PI * (i + 0.75) / (n + 0.5));
            double slope = 0;
            for (var turn = 0; turn < 50; turn++)
            {
                double p0 = 1, p1 = x;
                for (var k = 2; k <= n; k++) (p0, p1) = (p1, ((2 * k - 1) * x * p1 - (k - 1) * p0) / k);
                slope = n * (x * p1 - p0) / (x * x - 1);
                var step = p1 / slope;
                x -= step;
                if (Math.Abs(step) < 1e-16) break;
            }
            nodes[i] = (x, 2 / ((1 - x * x) * slope * slope));
        }
        return nodes;
    }
}
