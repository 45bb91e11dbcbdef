using MathNet.Numerics;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.Integration;

namespace Phasekeeper.Core.Statistics;

/// <summary>
/// Average run lengths (ARL: mean number of values until a signal) of charts of independent normal values with known mean and σ = 1, from the
/// integral equation of the chart's state, solved at Gauss–Legendre nodes (Nyström). 64 nodes give 1e-6 relative where the kernel is smooth on the
/// node spacing (λ ≥ 0.05, h ≤ 12; test Average_run_lengths_agree_with_the_tables).
/// References: S. V. Crowder (1987), Technometrics 29, 401, doi 10.1080/00401706.1987.10488267; D. C. Montgomery, Introduction to Statistical Quality Control.
/// </summary>
public static class RunLength
{
    private const int Nodes = 96;

    /// <summary>Two-sided CUSUM with allowance k and limit h, mean shifted by <paramref name="shift"/> σ; both sums start at 0. 1/ARL = 1/ARL⁺ + 1/ARL⁻.</summary>
    public static double Cusum(double h, double k, double shift = 0)
    {
        var up = OneSidedCusum(h, k, shift);
        var down = shift == 0 ? up : OneSidedCusum(h, k, -shift);
        return 1 / (1 / up + 1 / down);
    }

    /// <summary>EWMA with weight λ and steady limits ±L·√(λ/(2−λ)), mean shifted by <paramref name="shift"/> σ, started at its centre.</summary>
    public static double Ewma(double lambda, double limit, double shift = 0)
    {
        var c = limit * Math.Sqrt(lambda / (2 - lambda));
        var (x, w) = Rule(-c, c);
        var matrix = new double[Nodes][];
        for (var i = 0; i < Nodes; i++)
        {
            matrix[i] = new double[Nodes + 1];
            for (var j = 0; j < Nodes; j++)
                matrix[i][j] = (i == j ? 1 : 0) - w[j] / lambda * Density((x[j] - (1 - lambda) * x[i]) / lambda - shift);
            matrix[i][Nodes] = 1;
        }
        var length = Solve(matrix);
        var arl = 1.0;
        for (var j = 0; j < Nodes; j++) arl += w[j] / lambda * Density(x[j] / lambda - shift) * length[j];
        return arl;
    }

    private static double OneSidedCusum(double h, double k, double shift)
    {
        // State 0 is an atom; the rest is continuous on (0, h).
        var (x, w) = Rule(0, h);
        var n = Nodes + 1;
        var matrix = new double[n][];
        for (var i = 0; i < n; i++)
        {
            var from = i == 0 ? 0 : x[i - 1];
            matrix[i] = new double[n + 1];
            matrix[i][0] = -Normal.CDF(0, 1, k - shift - from);
            for (var j = 1; j < n; j++) matrix[i][j] = -w[j - 1] * Density(x[j - 1] - from + k - shift);
            matrix[i][i] += 1;
            matrix[i][n] = 1;
        }
        return Solve(matrix)[0];
    }

    private static (double[] X, double[] W) Rule(double a, double b)
    {
        var rule = new GaussLegendreRule(a, b, Nodes);
        return (rule.Abscissas, rule.Weights);
    }

    private static double Density(double z) => Math.Exp(-0.5 * z * z) / Constants.Sqrt2Pi;

    // Gaussian elimination with partial pivoting on an augmented matrix.
    private static double[] Solve(double[][] a)
    {
        var n = a.Length;
        for (var c = 0; c < n; c++)
        {
            var pivot = c;
            for (var r = c + 1; r < n; r++)
                if (Math.Abs(a[r][c]) > Math.Abs(a[pivot][c])) pivot = r;
            (a[c], a[pivot]) = (a[pivot], a[c]);
            for (var r = c + 1; r < n; r++)
            {
                var factor = a[r][c] / a[c][c];
                if (factor == 0) continue;
                for (var j = c; j <= n; j++) a[r][j] -= factor * a[c][j];
            }
        }
        var x = new double[n];
        for (var i = n - 1; i >= 0; i--)
        {
            var sum = a[i][n];
            for (var j = i + 1; j < n; j++) sum -= a[i][j] * x[j];
            x[i] = sum / a[i][i];
        }
        return x;
    }
}
