using System.Globalization;
using Phasekeeper.Core.Comparison;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Comparison;

public sealed class YorkRegressionTests
{
    private static (double[] X, double[] Y, double[] SigmaX, double[] SigmaY) Pearson()
    {
        var rows = ReferenceFiles.ReadCsv("york_pearson.csv");
        double[] Column(string name) => [.. rows.Select(r => double.Parse(r[name], CultureInfo.InvariantCulture))];
        return (Column("x"), Column("y"), [.. Column("weight_x").Select(w => 1 / Math.Sqrt(w))], [.. Column("weight_y").Select(w => 1 / Math.Sqrt(w))]);
    }

    [Fact]
    public void Pearsons_data_with_Yorks_weights_give_the_published_line()
    {
        var (x, y, sx, sy) = Pearson();
        var line = YorkRegression.TryFit(x, y, sx, sy)!.Value;
        Assert.Equal(5.47991, line.Intercept, 1e-5);
        Assert.Equal(-0.480533, line.Slope, 1e-6);
        Assert.Equal(0.29497, line.InterceptSigma, 3e-4);
        Assert.Equal(0.057985, line.SlopeSigma, 6e-5);
    }

    [Fact]
    public void The_line_minimises_the_weighted_distances()
    {
        var (x, y, sx, sy) = Pearson();
        double Distance(double a, double b) => x.Select((v, i) => Math.Pow(y[i] - a - b * v, 2) / (sy[i] * sy[i] + b * b * sx[i] * sx[i])).Sum();
        var line = YorkRegression.TryFit(x, y, sx, sy)!.Value;
        var least = Distance(line.Intercept, line.Slope);
        Assert.Equal(least / 8, line.ReducedChiSquare, 1e-9);
        foreach (var (da, db) in new[] { (1e-3, 0.0), (-1e-3, 0.0), (0.0, 1e-3), (0.0, -1e-3), (1e-3, -1e-3), (-1e-3, 1e-3) })
            Assert.True(Distance(line.Intercept + da, line.Slope + db) > least);
    }

    [Fact]
    public void Swapping_the_sides_gives_the_same_line()
    {
        var (x, y, sx, sy) = Pearson();
        var (a, b) = (YorkRegression.TryFit(x, y, sx, sy)!.Value, YorkRegression.TryFit(y, x, sy, sx)!.Value);
        Assert.Equal(a.Slope, 1 / b.Slope, 1e-9);
        Assert.Equal(a.Intercept, -b.Intercept / b.Slope, 1e-8);
    }

    [Fact]
    public void Too_few_points_or_no_spread_give_no_line()
    {
        Assert.Null(YorkRegression.TryFit([1, 2], [1, 2], [1, 1], [1, 1]));
        Assert.Null(YorkRegression.TryFit([1, 1, 1], [1, 2, 3], [1, 1, 1], [1, 1, 1]));
    }

    [Fact]
    public void An_exact_side_gives_ordinary_regression()
    {
        double[] x = [0, 1, 2, 3, 4], y = [1.1, 2.9, 5.2, 6.8, 9.1];
        var line = YorkRegression.TryFit(x, y, new double[5], [1, 1, 1, 1, 1])!.Value;
        // Closed form: slope Σ(x−2)(y−ȳ)/10.
        Assert.Equal(((1.1 * -2) + (2.9 * -1) + 6.8 + (9.1 * 2)) / 10, line.Slope, 1e-9);
        Assert.Equal(Math.Sqrt(0.1), line.SlopeSigma, 1e-6);
    }
}
