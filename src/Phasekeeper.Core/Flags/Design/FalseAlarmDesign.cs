namespace Phasekeeper.Core.Flags.Design;

/// <summary>
/// False-alarm rates of limits on a Gaussian series with lag-1 autocorrelation ρ (AR(1)), per point.
/// <para>A run of at least p points above k starts at a point with probability P_p − P_{p+1}, where P_p = P(x_1 &gt; k, …, x_p &gt; k);
/// P_p is integrated by Gauss–Legendre quadrature over the AR(1) transition density. Charts: the EWMA of an AR(1) series is Gaussian
/// with σ_z² = σ²·λ/(2−λ)·(1+ρ(1−λ))/(1−ρ(1−λ)) and lag-1 correlation (ρ+1−λ)/(1+ρ(1−λ)), so its alarms are runs of that series. The CUSUM
/// uses Siegmund's average run length (D. Siegmund, Sequential Analysis, Springer 1985, ch. II; b = h + 1.166) with the variance of sums of
/// the correlated series, σ²(1+ρ)/(1−ρ).</para>
/// Valid for 0 ≤ ρ &lt; 1; accuracy as measured by FalseAlarmDesignTests.
/// </summary>
public static class FalseAlarmDesign
{
    /// <summary>Siegmund's correction of the boundary for the overshoot of a Gaussian walk, in σ of one step; both ends.</summary>
    private const double OvershootBothEnds = 1.166;

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

    /// <summary>Standard deviation of the EWMA of an AR(1) series, in σ of the series.</summary>
    public static double EwmaSigma(double lambda, double rho) =>
        Math.Sqrt(lambda / (2 - lambda) * (1 + rho * (1 - lambda)) / (1 - rho * (1 - lambda)));

    /// <summary>Lag-1 correlation of the EWMA of an AR(1) series.</summary>
    public static double EwmaCorrelation(double lambda, double rho) => (rho + 1 - lambda) / (1 + rho * (1 - lambda));

    /// <summary>Two-sided EWMA alarms per point with limits of L times the EWMA's own σ. Its lag-1 correlation alone decides the crossings.</summary>
    public static double EwmaAlarms(double limit, double lambda, double rho) => RunStarts(limit, EwmaCorrelation(lambda, rho), 1, true);

    /// <summary>Two-sided CUSUM alarms per point, reference value k and decision interval h in σ of the series, restarted at each alarm.</summary>
    public static double CusumAlarms(double h, double k, double rho)
    {
        // The walk of a correlated series spreads by σ∞ a step but moves on by k: in units of σ∞ both shrink.
        var sigma = Math.Sqrt((1 + rho) / (1 - rho));
        var b = h / sigma + OvershootBothEnds;
        var d = k / sigma;
        if (d <= 0) return 2 / (b * b);
        return 2 / ((Math.Exp(2 * d * b) - 2 * d * b - 1) / (2 * d * d));
    }

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
