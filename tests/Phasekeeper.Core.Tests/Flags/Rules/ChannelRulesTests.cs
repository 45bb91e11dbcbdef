using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Tests.Flags.Rules;

public class ChannelRulesTests
{
    private static ChannelStretch Channel(Func<double, double> value, int orbits, double stepS = 30, ChannelLimits? limits = null) => new("IFO_T1", "degC",
        [.. Enumerable.Range(0, (int)(orbits * FlagScene.OrbitS / stepS)).Select(i => new ChannelSample(FlagScene.Start.AddSeconds(i * stepS), value(i * stepS)))], limits);

    private static readonly ChannelLimits Limits = new ChannelLimits().With("warning", 18, 22).With("severe", 16, 24);

    private static IReadOnlyList<Condition> Run(RuleDeclaration rule, ChannelStretch channel, int orbits) =>
        RuleReplay.Run(rule, FlagScene.Inputs(0, orbits - 1) with { Channels = [channel] });

    [Fact]
    public void Alarm_ranges_of_the_definition_give_the_severities()
    {
        var limits = new ChannelLimits().With("watch", 10, 30).With("warning", 5, 35).With("distress", 4, 34).With("critical", 0, 40).With("severe", double.NaN, 45).With("normal", 1, 2);
        Assert.Equal(((10, 30), (5, 34), (0, 40)), (limits.Of(FlagSeverity.Notice), limits.Of(FlagSeverity.Warning), limits.Of(FlagSeverity.Critical)));
        Assert.Throws<ArgumentException>(() => limits.With("yellow", 1, 2));
    }

    [Fact]
    public void A_swing_over_the_limit_on_every_orbit_is_one_flag()
    {
        // 20 ± 2.5 °C with the orbit: over 22 once an orbit on orbits 0 to 4.
        var condition = Assert.Single(Run(FlagScene.Rule("channel-limit", ("warningLow", 10), ("warningHigh", 22)), Channel(t => 20 + 2.5 * Math.Sin(2 * Math.PI * t / FlagScene.OrbitS), 5), 5));
        Assert.Equal((0, 4, FlagSeverity.Warning), (condition.FirstOrbit, condition.LastOrbit, condition.Severity));
        Assert.Equal(22.5, condition.Value, 3);
        Assert.Equal("degC", condition.Unit);
    }

    [Fact]
    public void Single_samples_out_of_limits_are_passed_over()
    {
        var spikes = Channel(t => t % 600 < 60 ? 40 : 20, 2, limits: Limits);
        Assert.Empty(Run(FlagScene.Rule("channel-limit", ("persistenceSamples", 3)), spikes, 2));
        Assert.NotEmpty(Run(FlagScene.Rule("channel-limit", ("persistenceSamples", 2)), spikes, 2));
    }

    [Fact]
    public void The_worse_level_decides_the_severity_and_the_milder_one_the_stretch()
    {
        var condition = Assert.Single(Run(FlagScene.Rule("channel-limit"), Channel(t => 20 + 5 * Math.Exp(-Math.Pow((t - 3000) / 900, 2)), 1, limits: Limits), 1));
        Assert.Equal(FlagSeverity.Critical, condition.Severity);
        Assert.Equal(24, condition.Limit);
        // Above 22 °C (2 % of 4 K hysteresis: 21.92): |t − 3000| < 900·√ln(5/1.92) = 880 s.
        Assert.InRange(condition.To - condition.From, 1700, 1770);
        Assert.Matches(@"^IFO_T1 reached 25 degC at 2031-03-01 00:50:00 UTC; critical limit 24 degC\.$", condition.Text);
    }

    [Fact]
    public void A_value_on_the_limit_does_not_chatter()
    {
        // Leaves 22 °C by 0.05 K up and down every minute: within the hysteresis of 0.08 K it is one stretch.
        var channel = Channel(t => t < 600 ? 20 : 22.05 - 0.1 * ((int)(t / 60) % 2 == 0 ? 1 : 0), 1, 10, Limits);
        var inputs = FlagScene.Inputs(0, 0) with { Channels = [channel] };
        Assert.Single(RuleCatalog.Of("channel-limit").Evaluate(FlagScene.Rule("channel-limit"), inputs));
        Assert.True(RuleCatalog.Of("channel-limit").Evaluate(FlagScene.Rule("channel-limit", ("hysteresisPercent", 0)), inputs).Count() > 10);
    }

    [Fact]
    public void A_hole_in_the_samples_ends_a_run()
    {
        var samples = new ChannelSample[] { new(FlagScene.Start, 30), new(FlagScene.Start.AddSeconds(10), 30), new(FlagScene.Start.AddSeconds(2000), 30) };
        Assert.Empty(Run(FlagScene.Rule("channel-limit"), new("IFO_T1", "degC", samples, Limits), 1));
    }

    [Fact]
    public void A_label_with_an_alarm_is_flagged()
    {
        var limits = new ChannelLimits().WithLabel("SAFE", "critical");
        var samples = Enumerable.Range(0, 10).Select(i => new ChannelSample(FlagScene.Start.AddSeconds(i * 60), double.NaN, i is >= 4 and < 8 ? "SAFE" : "SCIENCE")).ToList();
        var condition = Assert.Single(Run(FlagScene.Rule("channel-limit"), new("MODE", "1", samples, limits), 1));
        Assert.Equal(FlagSeverity.Critical, condition.Severity);
        Assert.Equal(180, condition.To - condition.From);
        Assert.Equal("MODE read 'SAFE' at 2031-03-01 00:04:00 UTC.", condition.Text);
    }

    [Theory]
    [InlineData(3.0, "rose by 3 degC a minute")]
    [InlineData(-3.0, "fell by 3 degC a minute")]
    public void A_fast_ramp_is_flagged_and_a_slow_one_is_not(double perMinute, string words)
    {
        double Ramp(double t, double rate) => 20 + rate * Math.Clamp((t - 1800) / 60, 0, 10);
        var condition = Assert.Single(Run(FlagScene.Rule("channel-rate"), Channel(t => Ramp(t, perMinute), 1, 10), 1));
        Assert.Contains(words, condition.Text, StringComparison.Ordinal);
        Assert.Equal((perMinute, "degC/min"), (Math.Round(condition.Value, 9), condition.Unit));
        Assert.Empty(Run(FlagScene.Rule("channel-rate"), Channel(t => Ramp(t, perMinute / 3), 1, 10), 1));
    }

    [Fact]
    public void An_orbit_with_the_heater_off_differs_from_the_orbits_before()
    {
        var random = new Random(7);
        double Profile(int orbit, int bin) => 20 + Math.Sin(2 * Math.PI * bin / 48) + 0.05 * random.NextDouble() - (orbit is 20 or 21 ? 1.5 * Math.Min(1, bin / 16.0) : 0);
        var profiles = Enumerable.Range(0, 30).Select(o => new ChannelProfile("IFO_T1", "degC", o, [.. Enumerable.Range(0, 48).Select(b => Profile(o, b))])).Reverse().ToList();
        var condition = Assert.Single(RuleReplay.Run(FlagScene.Rule("profile-change"), FlagScene.Inputs(0, 29) with { Profiles = profiles }));
        Assert.Equal((20, 21, "IFO_T1"), (condition.FirstOrbit, condition.LastOrbit, condition.Evidence.Channel));
        Assert.True(condition.Value > 50);
    }

    [Fact]
    public void What_switches_on_and_off_a_little_earlier_or_later_does_not_depart()
    {
        // A lamp that burns in every fourth bin, its phase creeping by a bin every eight orbits: the bins differ from their medians, the course does not.
        static double Profile(int orbit, int bin) => (bin + orbit / 8) % 4 == 0 ? 38 : 0.3;
        var profiles = Enumerable.Range(0, 40).Select(o => new ChannelProfile("LAMP_I", "mA", o, [.. Enumerable.Range(0, 48).Select(b => Profile(o, b))])).ToList();
        Assert.Empty(RuleReplay.Run(FlagScene.Rule("profile-change"), FlagScene.Inputs(0, 39) with { Profiles = profiles }));
    }

    [Fact]
    public void A_counter_and_its_reset_are_no_course()
    {
        var profiles = Enumerable.Range(0, 40).Select(o => new ChannelProfile("EDAC_COUNT", "1", o, [.. Enumerable.Range(0, 48).Select(b => ((o * 48) + b) / 5 % 250.0)])).ToList();
        Assert.Empty(RuleReplay.Run(FlagScene.Rule("profile-change"), FlagScene.Inputs(0, 39) with { Profiles = profiles }));
    }

    [Theory]
    [InlineData(10, 20, false)]
    [InlineData(4.9, 20, true)]
    [InlineData(10, 30.1, true)]
    [InlineData(double.NaN, double.NaN, false)] // no value at all
    public void Least_and_largest_value_tell_whether_any_sample_can_be_out(double min, double max, bool can) =>
        Assert.Equal(can, new ChannelLimits { WarningLow = 5, NoticeHigh = 30 }.CanBeLeftBy(min, max));

    [Fact]
    public void Limits_on_labels_are_not_told_by_values() =>
        Assert.True(new ChannelLimits { Labels = new Dictionary<string, FlagSeverity> { ["FAULT"] = FlagSeverity.Critical } }.CanBeLeftBy(0, 0));
}
