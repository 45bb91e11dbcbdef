using System.Text.Json;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Statistics;

/// <summary>Checks against tests/reference/statistics.json (scipy, statsmodels; published figures named there).</summary>
public sealed class RobustStatisticsTests
{
    private static readonly JsonElement Root = JsonDocument.Parse(File.ReadAllText(ReferenceFiles.PathOf("statistics.json"))).RootElement;

    private static double[] Numbers(JsonElement e) => [.. e.EnumerateArray().Select(v => v.GetDouble())];

    private static double Value(string set, string name) => Root.GetProperty(set).GetProperty(name).GetDouble();

    /// <summary>Copper in wholemeal flour, Analytical Methods Committee 1989; Venables and Ripley, section 5.5.</summary>
    [Fact]
    public void Location_and_scale_of_the_copper_set_agree()
    {
        var data = Numbers(Root.GetProperty("copper").GetProperty("data"));
        Assert.Equal(Value("copper", "mean"), Moments.Mean(data), 1e-12);
        Assert.Equal(Value("copper", "median"), RobustStatistics.Median(data), 1e-12);
        Assert.Equal(Value("copper", "mad_raw"), RobustStatistics.Mad(data), 1e-12);
        Assert.Equal(Value("copper", "mad_normal"), RobustStatistics.MadSigma(data), 1e-9);
        var huber = HuberEstimator.TryLocation(data);
        Assert.NotNull(huber);
        // The reference stopped at a relative step of 1e-8.
        Assert.Equal(Value("copper", "huber_proposal2_location_c1.5"), huber.Value.Location, 1e-7);
        Assert.Equal(Value("copper", "huber_proposal2_scale_c1.5"), huber.Value.Scale, 1e-7);
    }

    /// <summary>Brownlee 1965, stack loss.</summary>
    [Fact]
    public void Huber_regression_of_the_stack_loss_set_agrees()
    {
        double[][] rows = [.. Root.GetProperty("stackloss").GetProperty("data").EnumerateArray().Select(Numbers)];
        var fit = HuberEstimator.TryRegression([.. rows.Select(r => new[] { 1, r[1], r[2], r[3] })], [.. rows.Select(r => r[0])]);
        Assert.NotNull(fit);
        var expected = Numbers(Root.GetProperty("stackloss").GetProperty("coefficients_const_air_water_acid"));
        for (var i = 0; i < 4; i++) Assert.Equal(expected[i], fit.Value.Estimate[i], 1e-7 * Math.Abs(expected[i]));
        Assert.Equal(Value("stackloss", "scale"), fit.Value.Scale, 1e-7);
    }

    [Fact]
    public void Trend_slopes_and_rank_correlation_agree()
    {
        var set = Root.GetProperty("trend");
        var (t, y) = (Numbers(set.GetProperty("t")), Numbers(set.GetProperty("y")));
        var theil = TheilSen.TryFit(t, y);
        Assert.NotNull(theil);
        Assert.Equal(Value("trend", "theil_sen_slope"), theil.Value.Slope, 1e-9);
        Assert.Equal(Value("trend", "theil_sen_intercept_median_y_minus_slope_median_t"), theil.Value.Intercept, 1e-9);
        Assert.Equal(Value("trend", "theil_sen_95_low"), theil.Value.SlopeLow, 1e-9);
        Assert.Equal(Value("trend", "theil_sen_95_high"), theil.Value.SlopeHigh, 1e-9);
        var siegel = TheilSen.TrySiegel(t, y);
        Assert.NotNull(siegel);
        Assert.Equal(Value("trend", "siegel_slope"), siegel.Value.Slope, 1e-9);
        Assert.Equal(Value("trend", "siegel_intercept"), siegel.Value.Intercept, 1e-9);
        var (tau, p) = TheilSen.Kendall(t, y);
        Assert.Equal(Value("trend", "kendall_tau_b"), tau, 1e-9);
        Assert.Equal(Value("trend", "kendall_p"), p, 1e-12);
        var line = LinearLeastSquares.TryFit([.. t.Select(v => new[] { 1, v })], y);
        Assert.NotNull(line);
        Assert.Equal(Value("trend", "ols_slope"), line.Estimate[1], 1e-9);
        Assert.Equal(Value("trend", "ols_slope_se"), line.Sigma(1), 1e-9);
    }

    /// <summary>Cobb 1978, Biometrika 65, 243: annual flow of the Nile, change after 1898.</summary>
    [Fact]
    public void The_niles_change_point_is_found_with_its_interval()
    {
        var flow = Numbers(Root.GetProperty("nile").GetProperty("data"));
        var change = ChangePoint.TryFind(flow);
        Assert.NotNull(change);
        Assert.Equal(28, change.Value.FirstLength);
        Assert.Equal(Value("nile", "mean_before"), change.Value.MeanBefore, 1e-9);
        Assert.Equal(Value("nile", "mean_after"), change.Value.MeanAfter, 1e-9);
        Assert.Equal(Value("nile", "rss_no_change"), change.Value.ResidualNoChange, 1e-6);
        Assert.Equal(Value("nile", "rss_one_change"), change.Value.ResidualOneChange, 1e-6);
        Assert.Equal(Value("nile", "pettitt_K"), change.Value.PettittK);
        Assert.Equal(28, change.Value.PettittPosition);
        Assert.Equal(Value("nile", "pettitt_p_approx"), change.Value.PettittP, 1e-12);
        Assert.InRange(28, change.Value.Low, change.Value.High);
        Assert.InRange(change.Value.High - change.Value.Low, 1, 8); // Cobb's conditional analysis: 1897 to 1899 nearly certain
    }
}
