using System.Text.Json;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Statistics;

/// <summary>NIST Statistical Reference Datasets, certified values (tests/reference/strd.json; sources and tolerances in its README).</summary>
public sealed class StrdTests
{
    private static readonly JsonElement Sets = JsonDocument.Parse(File.ReadAllText(ReferenceFiles.PathOf("strd.json"))).RootElement.GetProperty("sets");

    private static JsonElement Set(string name) => Sets.EnumerateArray().Single(s => s.GetProperty("name").GetString() == name);

    private static double[] Numbers(JsonElement e) => [.. e.EnumerateArray().Select(v => v.GetDouble())];

    private static double[][] Data(JsonElement set) => [.. set.GetProperty("data").EnumerateArray().Select(Numbers)];

    [Theory]
    [InlineData("Norris", 1, 1e-9)]
    [InlineData("Longley", 0, 1e-8)]
    [InlineData("Wampler4", 5, 1e-7)]
    [InlineData("Filip", 10, 1e-6)]
    public void Certified_values_of_the_linear_reference_sets_are_met(string name, int degree, double tolerance)
    {
        var set = Set(name);
        var data = Data(set);
        // degree 0: the columns themselves are the regressors.
        double[][] design = [.. data.Select(r => degree == 0
            ? [1.0, .. r.Skip(1)]
            : Enumerable.Range(0, degree + 1).Select(j => Math.Pow(r[1], j)).ToArray())];

        var fit = LinearLeastSquares.TryFit(design, [.. data.Select(r => r[0])]);

        Assert.NotNull(fit);
        var certified = set.GetProperty("certified");
        Compare(Numbers(certified.GetProperty("estimate")), fit.Estimate, tolerance);
        Compare(Numbers(certified.GetProperty("standard_deviation")), [.. Enumerable.Range(0, fit.Estimate.Length).Select(fit.Sigma)], tolerance);
        Compare([certified.GetProperty("residual_standard_deviation").GetDouble()], [fit.ResidualStandardDeviation], tolerance);
    }

    [Theory]
    [InlineData("Misra1a", 0, 1e-9)]
    [InlineData("Misra1a", 1, 1e-9)]
    [InlineData("Thurber", 0, 1e-7)]
    [InlineData("Thurber", 1, 1e-7)]
    public void Certified_values_of_the_nonlinear_reference_sets_are_met(string name, int start, double tolerance)
    {
        var set = Set(name);
        var data = Data(set);
        Func<double, double[], double> model = name == "Misra1a"
            ? (x, b) => b[0] * (1 - Math.Exp(-b[1] * x))
            : (x, b) => (b[0] + x * (b[1] + x * (b[2] + x * b[3]))) / (1 + x * (b[4] + x * (b[5] + x * b[6])));

        var fit = LevenbergMarquardt.TryFit(b => [.. data.Select(r => r[0] - model(r[1], b))], Numbers(set.GetProperty("starts")[start]));

        Assert.NotNull(fit);
        var certified = set.GetProperty("certified");
        Compare(Numbers(certified.GetProperty("estimate")), fit.Estimate, tolerance);
        Compare([certified.GetProperty("residual_sum_of_squares").GetDouble()], [fit.ResidualSumOfSquares], tolerance);
        // Numerical derivatives cost the standard deviations some digits that the estimates keep.
        Compare(Numbers(certified.GetProperty("standard_deviation")), [.. Enumerable.Range(0, fit.Estimate.Length).Select(fit.Sigma)], 1e-6);
    }

    [Theory]
    [InlineData("NumAcc3", 1000000)]
    [InlineData("NumAcc4", 10000000)]
    public void Certified_values_of_the_univariate_reference_sets_are_met(string name, double offset)
    {
        double[] values = [offset + 0.2, .. Enumerable.Range(0, 1000).Select(i => i % 2 == 0 ? offset + 0.1 : offset + 0.3)];
        var certified = Set(name).GetProperty("certified");

        Compare([certified.GetProperty("mean").GetDouble()], [Moments.Mean(values)], 1e-14);
        // The data themselves are rounded: 0.1 at 1e7 has an error of 1e-9 in a double.
        Compare([certified.GetProperty("standard_deviation").GetDouble()], [Moments.StandardDeviation(values)], 2e-8);
        Compare([certified.GetProperty("lag1_autocorrelation").GetDouble()], [Moments.Lag1Autocorrelation(values)], 2e-8);
    }

    private static void Compare(double[] expected, double[] actual, double relative)
    {
        Assert.Equal(expected.Length, actual.Length);
        for (var i = 0; i < expected.Length; i++)
            Assert.True(Math.Abs(actual[i] - expected[i]) <= relative * Math.Abs(expected[i]), $"value {i}: {actual[i]:R} against {expected[i]:R}, relative {(actual[i] - expected[i]) / expected[i]:e2}");
    }
}
