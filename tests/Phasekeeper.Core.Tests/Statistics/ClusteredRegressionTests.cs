using System.Text.Json;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Tests.Fringes;
using Phasekeeper.Tests;
using Xunit.Abstractions;

namespace Phasekeeper.Core.Tests.Statistics;

public sealed class ClusteredRegressionTests(ITestOutputHelper output)
{
    private static PointCluster[] Single(double[][] design, double[] y, double sigma = 1) => [.. y.Select((v, i) => new PointCluster(i, [design[i]], [v], [sigma]))];

    /// <summary>
    /// Tukey's biweight on Brownlee's stack loss (1965), data of tests/reference/statistics.json. Published: R, MASS, rlm(stack.loss ~ ., stackloss, psi = psi.bisquare), coefficients −42.2852537 0.9275471 0.6507322 −0.1123310,
    /// scale 2.2818859 (R's output as quoted in statsmodels' tests, results_rlm.py, class BiSquare). R stops at a step of 1e-4.
    /// </summary>
    [Fact]
    public void The_biweight_regression_of_the_stack_loss_set_agrees_with_the_published_one()
    {
        double[][] rows = [.. JsonDocument.Parse(File.ReadAllText(ReferenceFiles.PathOf("statistics.json"))).RootElement.GetProperty("stackloss").GetProperty("data")
            .EnumerateArray().Select(r => r.EnumerateArray().Select(v => v.GetDouble()).ToArray())];
        var fit = ClusteredRegression.TryFit(Single([.. rows.Select(r => new[] { 1, r[1], r[2], r[3] })], [.. rows.Select(r => r[0])]), OutlierRule.Biweight);
        Assert.NotNull(fit);
        double[] published = [-42.2852537, 0.9275471, 0.6507322, -0.1123310];
        for (var j = 0; j < 4; j++) Assert.Equal(published[j], fit.Estimate[j], 3e-4 * Math.Abs(published[j]));
        Assert.Equal(2.2818859, fit.Scale, 1e-3);
        // Published weights of the fourth and the last point: 0.3358111 and 0.00222999.
        Assert.Equal(0.3358111, fit.Weights[3][0], 1e-3);
        Assert.Equal(0.00222999, fit.Weights[20][0], 2e-4);
    }

    /// <summary>NIST StRD, Norris (linear, lower difficulty): certified intercept and slope.</summary>
    [Fact]
    public void Least_squares_meets_the_certified_values_of_norris()
    {
        var set = JsonDocument.Parse(File.ReadAllText(ReferenceFiles.PathOf("strd.json"))).RootElement.GetProperty("sets").EnumerateArray().Single(s => s.GetProperty("name").GetString() == "Norris");
        double[][] data = [.. set.GetProperty("data").EnumerateArray().Select(r => r.EnumerateArray().Select(v => v.GetDouble()).ToArray())];
        var fit = ClusteredRegression.TryFit(Single([.. data.Select(r => new[] { 1, r[1] })], [.. data.Select(r => r[0])], 0.01), OutlierRule.Keep);
        Assert.NotNull(fit);
        double[] certified = [.. set.GetProperty("certified").GetProperty("estimate").EnumerateArray().Select(v => v.GetDouble())];
        for (var j = 0; j < 2; j++) Assert.Equal(certified[j], fit.Estimate[j], 1e-9 * Math.Abs(certified[j]));
        // The jackknife does not take the errors as equal, and Norris' points at the end of a long lever are the worst: within a factor of two.
        double[] deviations = [.. set.GetProperty("certified").GetProperty("standard_deviation").EnumerateArray().Select(v => v.GetDouble())];
        for (var j = 0; j < 2; j++) Assert.InRange(fit.Sigma(j) / deviations[j], 0.5, 2);
    }

    /// <summary>The jackknife of a mean is s/√n exactly (B. Efron, The Jackknife, the Bootstrap and Other Resampling Plans (1982), chapter 3); copper in flour, s from statistics.json's data.</summary>
    [Fact]
    public void The_sigma_of_a_plain_mean_is_that_of_the_textbook()
    {
        double[] copper = [.. JsonDocument.Parse(File.ReadAllText(ReferenceFiles.PathOf("statistics.json"))).RootElement.GetProperty("copper").GetProperty("data").EnumerateArray().Select(v => v.GetDouble())];
        var fit = ClusteredRegression.TryFit(Single([.. copper.Select(_ => new[] { 1.0 })], copper, 0.001), OutlierRule.Keep);
        Assert.NotNull(fit);
        Assert.Equal(Moments.Mean(copper), fit.Estimate[0], 1e-12);
        Assert.Equal(Moments.StandardDeviation(copper) / Math.Sqrt(copper.Length), fit.Sigma(0), 1e-9);
    }

    /// <summary>Seeds 1…200 of 14 clusters of 8 points: independent clusters, and clusters that follow an AR(1) of 0.6.</summary>
    [Theory]
    [InlineData(0.0, 14, 0.85, 1.1)]
    [InlineData(0.6, 40, 0.85, 1.2)] // fourteen are too few to tell
    public void The_scatter_from_cluster_to_cluster_is_in_sigma(double correlation, int clusters, double least, double most)
    {
        List<double> pulls = [];
        for (ulong seed = 1; seed <= 200; seed++)
        {
            var noise = new NoiseSource(seed);
            var common = noise.Gauss();
            PointCluster[] data = [.. Enumerable.Range(0, clusters).Select(c =>
            {
                common = correlation * common + Math.Sqrt(1 - correlation * correlation) * noise.Gauss();
                return new PointCluster(c, [.. Enumerable.Range(0, 8).Select(_ => new[] { 1.0 })], [.. Enumerable.Range(0, 8).Select(_ => 5 + common + 0.5 * noise.Gauss())], [.. Enumerable.Repeat(0.5, 8)]);
            })];
            var fit = ClusteredRegression.TryFit(data)!;
            pulls.Add((fit.Estimate[0] - 5) / fit.Sigma(0));
        }
        var rms = Math.Sqrt(pulls.Average(p => p * p));
        output.WriteLine($"error/sigma rms {rms:f3}");
        Assert.InRange(rms, least, most);
    }

    [Fact]
    public void Dependent_columns_and_too_few_points_give_nothing()
    {
        Assert.Null(ClusteredRegression.TryFit([]));
        Assert.Null(ClusteredRegression.TryFit(Single([[1, 2], [2, 4], [3, 6]], [1, 2, 3])));
        Assert.Null(ClusteredRegression.TryFit(Single([[1, 2]], [1])));
    }

    [Fact]
    public void Points_without_scatter_are_met_exactly()
    {
        double[] t = [0, 1, 2, 3, 4, 5];
        var fit = ClusteredRegression.TryFit(Single([.. t.Select(v => new[] { 1, v })], [.. t.Select(v => 2 - 3 * v)]));
        Assert.NotNull(fit);
        Assert.Equal(2, fit.Estimate[0], 1e-9);
        Assert.Equal(-3, fit.Estimate[1], 1e-9);
        Assert.Equal(0, fit.Rejected);
    }
}
