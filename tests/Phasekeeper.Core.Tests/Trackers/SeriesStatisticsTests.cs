using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Tests.Trackers;

public sealed class SeriesStatisticsTests
{
    private static readonly ITracker Residual = TrackerCatalog.Find("thermal-residual")!;

    private static TrackerValue[] Series(int n, Func<int, double> value, double sigma = 0.001) => [.. Enumerable.Range(0, n).Select(i =>
        new TrackerValue(new(Residual.Info.Id, "F", "green"), 100 + i, Instant.FromUtc(2031, 4, 1).AddSeconds(5760.0 * i), value(i), sigma, 12, false))];

    private static Func<int, double> Noise(int seed, double level, double sigma, double r = 0)
    {
        var random = new Random(seed);
        double x = 0;
        return _ => level + sigma * (x = r * x + Math.Sqrt(1 - r * r) * MathNet.Numerics.Distributions.Normal.Sample(random, 0, 1));
    }

    [Fact]
    public void A_quiet_month_of_sixty_charts_raises_about_one_signal()
    {
        var signals = new int[3];
        for (var chart = 0; chart < 240; chart++)
        {
            var r = chart % 3 * 0.3;
            var result = SeriesStatistics.Run(Residual, Series(450, Noise(chart, 0.02, 0.01, r)), null);
            // A signal is counted when it begins, as a flag would be.
            for (var i = 1; i < result.Points.Count; i++)
                if (result.Points[i].State is TrackerState.Warning or TrackerState.Critical && result.Points[i - 1].State is TrackerState.Normal or TrackerState.Provisional) signals[chart % 3]++;
        }
        // Four months. Centres, spreads and autocorrelations are estimated from 30 to 150 orbits, which costs something beyond the design's 4.
        Assert.True(signals.Sum() <= 24, $"{signals[0]}, {signals[1]} and {signals[2]} signals at r = 0, 0.3, 0.6");
    }

    [Fact]
    public void A_shift_of_three_spreads_is_a_warning_within_a_few_orbits()
    {
        var noise = Noise(3, 0.02, 0.01);
        var result = SeriesStatistics.Run(Residual, Series(100, i => noise(i) + (i >= 60 ? 0.03 : 0)), null);
        var first = result.Points.Select((p, i) => (p.State, i)).First(p => p.State is TrackerState.Warning or TrackerState.Critical).i;
        Assert.InRange(first, 60, 66);
        Assert.True(result.Points[99].CusumHigh > result.Design.CusumH);
        Assert.Equal(0, result.Points[99].CusumLow);
    }

    [Fact]
    public void First_orbits_are_provisional_and_too_few_have_no_chart()
    {
        var result = SeriesStatistics.Run(Residual, Series(40, Noise(1, 0.02, 0.01)), null);
        Assert.All(result.Points.Take(SeriesStatistics.ProvisionalOrbits), p => Assert.Equal(TrackerState.Provisional, p.State));
        Assert.Equal(TrackerState.Normal, result.Points[35].State);
        Assert.All(SeriesStatistics.Run(Residual, Series(5, _ => 0.02), null).Points, p => Assert.True(double.IsNaN(p.Ewma)));
        Assert.Empty(SeriesStatistics.Run(Residual, [], null).Points);
    }

    [Fact]
    public void One_wild_orbit_does_not_ring_for_long()
    {
        var noise = Noise(9, 0.02, 0.01);
        var result = SeriesStatistics.Run(Residual, Series(100, i => noise(i) + (i == 60 ? 5 : 0)), null);
        Assert.Equal(TrackerState.Normal, result.Points[72].State);
    }

    [Fact]
    public void A_larger_sigma_makes_the_same_deviation_smaller()
    {
        var values = Series(60, Noise(2, 0.02, 0.002));
        values[50] = values[50] with { Value = 0.05 };
        var sharp = SeriesStatistics.Run(Residual, values, null).Points[50].Deviation;
        values[50] = values[50] with { Sigma = 0.05 };
        Assert.True(sharp > 5 && SeriesStatistics.Run(Residual, values, null).Points[50].Deviation < 1);
    }

    [Fact]
    public void A_phase_series_is_unwrapped()
    {
        var values = SeriesStatistics.Unwrap(Series(100, i => Math.IEEERemainder(3 + 0.02 * i, 2 * Math.PI)), 2 * Math.PI);
        for (var i = 1; i < values.Length; i++) Assert.Equal(0.02, values[i].Value - values[i - 1].Value, 1e-9);
    }

    [Fact]
    public void Trend_and_forecast_hold_the_truth_in_their_intervals()
    {
        int trend = 0, crossing = 0, inSigma = 0;
        var pulls = new List<double>();
        for (var seed = 0; seed < 60; seed++)
        {
            // 0.09 per month of 450 orbits; the limit of 1.3 is reached at orbit 1500.
            var noise = Noise(seed, 1, 0.02, 0.4);
            var values = Series(600, i => noise(i) + 0.0002 * i);
            var summary = DriftSummary.Of(values);
            Assert.NotNull(summary);
            if (summary.TrendLow <= 0.09 && 0.09 <= summary.TrendHigh) trend++;
            pulls.Add((summary.TrendPerMonth - 0.09) / summary.TrendSigmaPerMonth);
            var forecast = summary.Forecast(1.3);
            Assert.NotNull(forecast);
            var truth = values[0].Time.AddSeconds(5760.0 * 1500);
            if (forecast.Value.Earliest <= truth && truth <= forecast.Value.Latest) crossing++;
            if (Math.Abs(forecast.Value.Time - truth) < 30 * 86400) inSigma++;
            Assert.Null(summary.Change);
        }
        Assert.InRange(trend, 52, 60);
        Assert.InRange(crossing, 52, 60);
        Assert.InRange(inSigma, 54, 60);
        Assert.InRange(Math.Sqrt(pulls.Sum(p => p * p) / 60), 0.8, 1.3);
    }

    [Fact]
    public void A_limit_behind_the_trend_is_never_crossed()
    {
        var summary = DriftSummary.Of(Series(100, i => 1 + 0.001 * i));
        Assert.NotNull(summary);
        Assert.Null(summary.Forecast(0.5));
    }

    [Fact]
    public void A_step_is_dated_within_its_interval()
    {
        var noise = Noise(17, 1, 0.02, 0.3);
        var summary = DriftSummary.Of(Series(200, i => noise(i) + (i >= 120 ? 0.05 : 0)));
        Assert.NotNull(summary?.Change);
        Assert.InRange(220, summary.Change.Value.EarliestOrbit, summary.Change.Value.LatestOrbit);
        Assert.InRange(summary.Change.Value.Step, 0.04, 0.06);
        Assert.True(summary.Change.Value.P < 0.001);
    }
}
