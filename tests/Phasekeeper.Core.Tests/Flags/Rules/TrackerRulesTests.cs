using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Tests.Flags.Rules;

public class TrackerRulesTests
{
    private static IReadOnlyList<Condition> Run(RuleDeclaration rule, params SeriesHistory[] series) =>
        RuleReplay.Run(rule, FlagScene.Inputs(0, 99) with { Series = series });

    [Fact]
    public void Lamp_loss_is_a_drop_in_percent_of_the_reference()
    {
        var condition = Assert.Single(Run(FlagScene.Rule("lamp-loss"), FlagScene.Series("lamp-brightness", "F", "green", "1", 1, 1.01, 0.8, 0.79, 0.99)));
        Assert.Equal((2, 3, FlagSeverity.Warning, "%"), (condition.FirstOrbit, condition.LastOrbit, condition.Severity, condition.Unit));
        Assert.Equal(21, condition.Value, 9);
        Assert.Equal("Lamp brightness, view F, green was 21 % below its reference on orbit 3; limit 12 %.", condition.Text);
        Assert.Equal("F", condition.Winds!.View);
    }

    [Fact]
    public void Visibility_loss_of_scene_and_lamp_are_flags_of_their_own()
    {
        var found = Run(FlagScene.Rule("visibility-loss"), FlagScene.Series("scene-visibility", "F", "green", "1", 1, 0.7, 0.7), FlagScene.Series("lamp-visibility", "F", "green", "1", 1, 0.8, 0.8));
        Assert.Equal(["lamp-visibility", "scene-visibility"], found.Select(c => c.Thing.Subject));
    }

    [Fact]
    public void A_value_within_its_own_uncertainty_is_not_flagged()
    {
        Assert.Empty(Run(FlagScene.Rule("thermal-residual"), FlagScene.Series("thermal-residual-wind", "F", "green", "m/s", [(1, 15.0)], sigma: 6)));
        Assert.Single(Run(FlagScene.Rule("thermal-residual"), FlagScene.Series("thermal-residual-wind", "F", "green", "m/s", [(1, 15.0)], sigma: 4)));
    }

    [Fact]
    public void Provisional_values_are_left_out_where_the_rule_says_so()
    {
        var series = FlagScene.Series("scene-phase-residual", "F", "green", "m/s", 50, 50, 50);
        series = series with { Points = [.. series.Points.Select(p => p with { Provisional = true })] };
        Assert.Empty(Run(FlagScene.Rule("phase-residual"), series));
        Assert.Single(Run(FlagScene.Rule("phase-residual", ("useProvisional", 1)), series));
    }

    [Fact]
    public void Dark_growth_counts_from_the_set_and_else_from_recent_orbits()
    {
        var flat = Enumerable.Range(0, 20).Select(o => (o, o >= 15 ? 3.0 : 2.0)).ToList();
        Assert.Equal(15, Assert.Single(Run(FlagScene.Rule("dark-growth"), FlagScene.Series("dark-rate", null, null, "e-/s", flat))).FirstOrbit);
        Assert.Equal(0, Assert.Single(Run(FlagScene.Rule("dark-growth"), FlagScene.Series("dark-rate", null, null, "e-/s", flat, expected: 1.5))).FirstOrbit);
    }

    [Fact]
    public void Hot_samples_count_as_a_difference()
    {
        var values = Enumerable.Range(0, 20).Select(o => (o, o >= 15 ? 30.0 : 10.0)).ToList();
        var condition = Assert.Single(Run(FlagScene.Rule("hot-sample-growth"), FlagScene.Series("hot-samples", null, null, "samples", values)));
        Assert.Equal((15, 20.0, FlagSeverity.Notice), (condition.FirstOrbit, condition.Value, condition.Severity));
    }

    [Fact]
    public void A_view_or_line_of_the_rule_limits_what_it_watches()
    {
        var rule = FlagScene.Rule("tracker-limit", ("warningLimit", 1), ("persistenceOrbits", 1), ("useProvisional", 1)) with { Trackers = ["view-difference"], Line = "red" };
        var found = Run(rule, FlagScene.Series("view-difference", null, "green", "rad", 0, -3), FlagScene.Series("view-difference", null, "red", "rad", 0, -3));
        Assert.Equal("red", Assert.Single(found).Thing.Line);
        Assert.Equal(3, found[0].Value);
    }

    [Fact]
    public void A_channel_tracker_names_the_channel()
    {
        var series = new SeriesHistory(new("channel-mean", null, null, "IFO_T1"), "degC", FlagScene.Series("x", null, null, "degC", 25, 25).Points);
        var condition = Assert.Single(Run(FlagScene.Rule("tracker-limit", ("warningLimit", 22)) with { Trackers = ["channel-mean"], Channels = ["IFO_*"] }, series));
        Assert.Equal(("channel-mean:IFO_T1", "IFO_T1"), (condition.Thing.Subject, condition.Evidence.Channel));
    }
}
