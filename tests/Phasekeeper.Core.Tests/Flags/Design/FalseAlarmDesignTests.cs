using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Inputs;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Flags.Design;

public class FalseAlarmDesignTests
{
    // A rate from a simulation with some thousand events is good to 2–3 %; ten percent also covers the Gaussian approximations.
    private const double TenPercent = 0.1;

    [Theory]
    // Abramowitz and Stegun, Handbook of Mathematical Functions, tables 26.1 and 26.2.
    [InlineData(0, 0.5)]
    [InlineData(1, 0.15865525393)]
    [InlineData(2, 0.02275013195)]
    [InlineData(3, 0.00134989803)]
    [InlineData(5, 2.866515719e-7)]
    public void The_gaussian_tail_matches_the_tables(double x, double expected) => Assert.Equal(1, FalseAlarmDesign.UpperTail(x) / expected, 6);

    [Theory]
    // Abramowitz and Stegun, table 26.10: ν = 8, P(T > 2.306) = 0.025, P(T > 3.355) = 0.005.
    [InlineData(2.306, 0.025)]
    [InlineData(3.355, 0.005)]
    public void Students_tail_matches_the_tables(double t, double expected) => Assert.Equal(expected, StudentTail.Upper(t, 8), 5);

    [Fact]
    public void Two_in_a_row_of_correlated_values_match_the_quadrant_formula()
    {
        // P(x > 0, y > 0) = 1/4 + asin(ρ)/2π (W. F. Sheppard 1899).
        Assert.Equal(0.25 + Math.Asin(0.6) / (2 * Math.PI), FalseAlarmDesign.AllAbove(0, 0.6, 2), 8);
        Assert.Equal(Math.Pow(FalseAlarmDesign.UpperTail(1), 3), FalseAlarmDesign.AllAbove(1, 0, 3), 12);
    }

    [Fact]
    public void The_default_rules_watch_trackers_that_exist() =>
        Assert.All(DefaultRules.For([]).Rules.SelectMany(r => r.Trackers), id => Assert.NotNull(TrackerCatalog.Find(id)));

    [Theory]
    [InlineData(2.0, 0.0, 1)]
    [InlineData(2.0, 0.5, 1)]
    [InlineData(1.5, 0.5, 2)]
    [InlineData(1.5, 0.8, 3)]
    public void Run_starts_match_simulated_noise(double k, double rho, int persistence)
    {
        var noise = Noise(11, rho, 400_000);
        var points = noise.Select((x, i) => new Phasekeeper.Core.Flags.Rules.RunPoint(i, x > k, false)).ToList();
        var found = Phasekeeper.Core.Flags.Rules.RunDetector.Find(points, persistence, 1).Count / (double)noise.Length;
        Assert.InRange(found / FalseAlarmDesign.RunStarts(k, rho, persistence, false), 1 - TenPercent, 1 + TenPercent);
    }

    [Fact]
    public void The_binomial_tail_matches_its_definition()
    {
        Assert.Equal(1 - Math.Pow(0.9, 8), FalseAlarmDesign.AtLeast(1, 8, 0.1), 12);
        Assert.Equal(0.1 * 0.1, FalseAlarmDesign.AtLeast(2, 2, 0.1), 12);
    }

    [Fact]
    public void The_default_rules_expect_at_most_two_false_flags_a_month_and_no_critical_one()
    {
        var context = DesignContext.Of(TrackerCatalog.All.Select(t => t.Info), views: 2, lines: 2, channels: 60);
        var estimates = DefaultRules.FalseAlarms(DefaultRules.For(["IFO_T1", "OB_T1", "DET_T1"]), context);
        Assert.InRange(estimates.Sum(e => e.PerMonth), 0.001, 2);
        Assert.InRange(estimates.Sum(e => e.CriticalPerMonth), 0, 0.001);
        Assert.All(estimates, e => Assert.True(e.Series > 0));
    }

    /// <summary>Five months of healthy, correlated noise on every tracker that the default rules watch, through the rules themselves.</summary>
    [Fact]
    public void Simulated_quiet_months_raise_no_more_flags_than_designed()
    {
        const int Months = 5, Orbits = 450 * Months;
        var rules = DefaultRules.For([]);
        var estimates = DefaultRules.FalseAlarms(rules, new DesignContext()).ToDictionary(e => e.Rule);
        var inputs = FlagScene.Inputs(0, Orbits - 1) with { Coefficients = [] };
        var expected = 0.0;
        var found = new List<Condition>();
        var seed = 100;
        foreach (var rule in rules.Enabled.Where(r => r.Trackers.Count > 0))
        {
            expected += estimates[rule.Id].PerMonth * Months;
            var chart = rule.Kind == "drift";
            var rho = chart ? 0.3 : rule["designCorrelation"];
            foreach (var tracker in rule.Trackers)
                foreach (var (view, line) in new[] { ("F", "green"), ("F", "red"), ("A", "green"), ("A", "red") })
                {
                    var noise = Noise(seed++, rho, Orbits);
                    var points = chart ? Charts(noise, rho) : Measures(rule, noise);
                    var series = new SeriesHistory(new(tracker, view, line), "1", points);
                    found.AddRange(RuleReplay.Run(rule, inputs with { Series = [series] }));
                }
        }
        // Poisson: twice the expected number plus three is exceeded by chance less than once in a thousand seeds.
        Assert.InRange(found.Count, 0, 2 * expected + 3);
        Assert.DoesNotContain(found, c => c.Severity == FlagSeverity.Critical);
    }

    // Values whose measure has the design's mean and scatter.
    private static List<SeriesPoint> Measures(RuleDeclaration rule, double[] noise) => [.. noise.Select((x, o) =>
    {
        var measure = rule["designMean"] + rule["designSigma"] * x;
        var (value, reference) = rule.Kind switch
        {
            "visibility-loss" or "lamp-loss" => (1 - measure / 100, 1.0),
            "dark-growth" => (2 * (1 + measure / 100), 2.0),
            _ => (measure, 0.0),
        };
        return SeriesPoint.Of(o, FlagScene.Middle(o), value, double.NaN, reference);
    })];

    private static List<SeriesPoint> Charts(double[] noise, double rho)
    {
        var design = ChartDesign.Default;
        var run = ChartDesign.RunFactor(rho);
        double z = 0, high = 0, low = 0;
        var points = new List<SeriesPoint>();
        for (var o = 0; o < noise.Length; o++)
        {
            z = design.Lambda * noise[o] + (1 - design.Lambda) * z;
            high = Math.Max(0, high + noise[o] / run - design.CusumK);
            low = Math.Max(0, low - noise[o] / run - design.CusumK);
            points.Add(SeriesPoint.Of(o, FlagScene.Middle(o), noise[o], double.NaN, 0) with
            {
                Ewma = z,
                EwmaSigma = design.EwmaSigma(rho),
                CusumHigh = high,
                CusumLow = low,
            });
        }
        return points;
    }

    private static double[] Noise(int seed, double rho, int count)
    {
        var random = new Random(seed);
        double Gauss() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        var values = new double[count];
        var x = Gauss();
        for (var i = 0; i < count; i++) values[i] = x = i == 0 ? x : rho * x + Math.Sqrt(1 - rho * rho) * Gauss();
        return values;
    }
}
