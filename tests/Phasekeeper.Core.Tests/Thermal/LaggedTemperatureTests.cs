using FsCheck.Xunit;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Tests.Thermal;

public sealed class LaggedTemperatureTests
{
    private static readonly Instant Start = Instant.FromUtc(2031, 4, 1);

    private static TemperatureSeries Series(IEnumerable<(double T, double C)> samples) => TemperatureSeries.FromUnordered(samples.Select(s => (Start.AddSeconds(s.T), s.C)));

    /// <summary>Closed form for a ramp from steady state: y = x0 + g·(t − τ + τ·e^(−t/τ)).</summary>
    [Fact]
    public void A_ramp_follows_its_closed_form_on_any_spacing()
    {
        const double Lag = 420, Slope = 0.002;
        double[] times = [0, 7, 20, 21.5, 130, 400, 410, 700, 1100, 1490];
        var lagged = new LaggedTemperature(Series(times.Select(t => (t, 20 + Slope * t))), Lag);
        foreach (var t in new[] { 0, 3.3, 20, 77.7, 555, 1490 })
        {
            Assert.True(lagged.TryGet(Start.AddSeconds(t), out var value));
            Assert.Equal(20 + Slope * (t - Lag + Lag * Math.Exp(-t / Lag)), value.LaggedC, 1e-11);
            Assert.Equal(Math.Exp(-t / Lag), value.StartWeight, 1e-12);
        }
    }

    [Property(MaxTest = 60)]
    public bool Split_and_merged_sample_lists_give_identical_lagged_temperatures(int seed)
    {
        var random = new Random(seed);
        var t = 0.0;
        List<(double T, double C)> samples = [];
        for (var i = 0; i < 300; i++)
        {
            samples.Add((Math.Round(t, 3), 20 + 5 * random.NextDouble()));
            t += 1 + 90 * random.NextDouble();
        }
        var whole = new LaggedTemperature(Series(samples), 300);
        // Any order, with repeats, as files that overlap would bring them.
        var shuffled = samples.Concat(samples.Where(_ => random.Next(3) == 0)).OrderBy(_ => random.Next()).ToList();
        var merged = new LaggedTemperature(Series(shuffled), 300);
        // Extra samples on the straight lines between the others change nothing but rounding.
        var refined = new LaggedTemperature(Series(samples.Concat(samples.Zip(samples.Skip(1), (a, b) => (0.5 * (a.T + b.T), 0.5 * (a.C + b.C))))), 300);
        for (var i = 0; i < 50; i++)
        {
            var time = Start.AddSeconds(samples[0].T + random.NextDouble() * (samples[^1].T - samples[0].T));
            if (!whole.TryGet(time, out var a) || !merged.TryGet(time, out var b) || !refined.TryGet(time, out var c)) return false;
            if (a.LaggedC != b.LaggedC || Math.Abs(a.LaggedC - c.LaggedC) > 1e-9) return false;
        }
        return true;
    }

    [Fact]
    public void Twenty_lags_of_look_back_make_the_start_irrelevant()
    {
        const double Lag = 100;
        var samples = Enumerable.Range(0, 600).Select(i => (i * 10.0, 20 + 5 * Math.Sin(i / 40.0))).ToList();
        var longer = new LaggedTemperature(Series(samples), Lag);
        var shorter = new LaggedTemperature(Series(samples.Where(s => s.Item1 >= 3000)), Lag);
        Assert.True(longer.TryGet(Start.AddSeconds(5000), out var a));
        Assert.True(shorter.TryGet(Start.AddSeconds(5000), out var b));
        Assert.Equal(a.LaggedC, b.LaggedC, 1e-7);
        Assert.False(b.NearGap);
    }

    /// <summary>τ → 0: T_lag = T and ∂T_lag/∂τ = −dT/dt; a lag of a hundredth of a second is as good as none.</summary>
    [Fact]
    public void No_lag_is_the_limit_of_a_short_one()
    {
        var samples = Enumerable.Range(0, 60).Select(i => (i * 10.0, 20 + 5 * Math.Sin(i / 4.0))).ToList();
        var (none, little) = (new LaggedTemperature(Series(samples), 0), new LaggedTemperature(Series(samples), 0.01));
        foreach (var t in new[] { 3.0, 10, 205, 333.3, 590 })
        {
            Assert.True(none.TryGet(Start.AddSeconds(t), out var a));
            Assert.True(little.TryGet(Start.AddSeconds(t), out var b));
            var at = (int)Math.Ceiling(t / 10);
            var slope = (samples[at].Item2 - samples[at - 1].Item2) / 10;
            Assert.Equal(samples[at].Item2 - slope * (samples[at].Item1 - t), a.LaggedC, 1e-12);
            Assert.Equal(a.LaggedC, b.LaggedC, 0.02);
            Assert.Equal(-slope, a.PerLagKPerS, 1e-12);
            Assert.Equal(0, a.StartWeight);
            Assert.False(a.NearGap);
        }
        Assert.True(none.TryGet(Start, out var first));
        Assert.Equal(20, first.LaggedC);
        Assert.Throws<ArgumentOutOfRangeException>(() => new LaggedTemperature(Series(samples), -1));
    }

    [Fact]
    public void A_gap_starts_a_new_run_and_nothing_is_known_inside_it()
    {
        var samples = Enumerable.Range(0, 400).Select(i => i * 10.0).Where(t => t is < 1000 or > 2000).Select(t => (t, 20 + 0.001 * t));
        var lagged = new LaggedTemperature(Series(samples), 200);
        Assert.Equal(2, lagged.Runs);
        Assert.False(lagged.TryGet(Start.AddSeconds(1500), out _));
        Assert.True(lagged.TryGet(Start.AddSeconds(2200), out var soon));
        Assert.True(soon.NearGap);
        Assert.True(lagged.TryGet(Start.AddSeconds(2010 + 5.1 * 200), out var later));
        Assert.False(later.NearGap);
        Assert.Equal(1, later.Run);
        Assert.False(lagged.TryGet(Start.AddSeconds(4000), out _));
    }

    [Fact]
    public void A_series_names_the_sample_that_is_out_of_order()
    {
        var error = Assert.Throws<ArgumentException>(() => new TemperatureSeries([Start, Start], [20, 21]));
        Assert.Contains("sample 1", error.Message, StringComparison.Ordinal);
    }
}
