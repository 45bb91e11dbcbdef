using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Grouping;

namespace Phasekeeper.Core.Tests.Flags.Rules;

public class ActivityOverrunKindTests
{
    private static readonly RuleDeclaration Rule = FlagScene.Rule("activity-overrun");

    // Settles two orbits after its end, in the middle of orbit 13.
    private static readonly PlannedActivity Burn = new("burn-3", ActivityKinds.Manoeuvre, "Orbit raise 3", FlagScene.Middle(10), FlagScene.Middle(11));

    private static Flag FlagOn(int first, int last, params PlannedActivity[] activities)
    {
        var inputs = FlagScene.Inputs(0, 99) with { Series = [FlagScene.Series("thermal-residual-wind", "F", "green", "m/s", Enumerable.Range(first, last - first + 1).Select(o => (o, 15.0)))] };
        return ActivityMatcher.Explain(Flag.Of(RuleReplay.Run(FlagScene.Rule("thermal-residual"), inputs).Single()), FlagTopic.ThermalPhase, activities);
    }

    private static IReadOnlyList<Condition> Run(PlannedActivity[] activities, params Flag[] flags) =>
        [.. RuleCatalog.Of("activity-overrun").Evaluate(Rule, FlagScene.Inputs(0, 99) with { Overruns = ActivityOverrun.Of(flags, activities) })];

    [Fact]
    public void Effects_that_stand_after_the_settling_time_are_a_flag_with_the_name_and_by_how_much()
    {
        var overrun = Assert.Single(Run([Burn], FlagOn(10, 20, Burn)));
        // The flag ends with orbit 20; the effects should have ended in the middle of orbit 13: 7.5 orbits of 1.6 h.
        Assert.Equal(12, overrun.Value, 9);
        Assert.Equal((Burn.EffectsTo, 13, 20), (overrun.From, overrun.FirstOrbit, overrun.LastOrbit));
        Assert.Equal(FlagScene.Middle(13), overrun.From);
        Assert.Contains("The planned activity \"Orbit raise 3\"", overrun.Text, StringComparison.Ordinal);
        Assert.Contains("12 h over", overrun.Text, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(10, 12)]
    [InlineData(10, 13)]
    public void Effects_that_end_in_time_or_within_the_grain_of_an_orbit_are_none(int first, int last) => Assert.Empty(Run([Burn], FlagOn(first, last, Burn)));

    [Fact]
    public void Without_an_expected_flag_nothing_tells_that_it_goes_on()
    {
        Assert.Empty(Run([Burn]));
        // It began before the activity, so it is no effect of it; and of a software upload no thermal residual is expected.
        Assert.Empty(Run([Burn], FlagOn(5, 20, Burn)));
        var upload = Burn with { Kind = ActivityKinds.SoftwareUpload };
        Assert.Empty(Run([upload], FlagOn(10, 20, upload)));
    }

    [Fact]
    public void A_withdrawn_flag_a_chart_and_an_activity_that_is_gone_tell_nothing()
    {
        var flag = FlagOn(10, 20, Burn);
        Assert.Empty(Run([Burn], flag with { State = FlagState.Withdrawn }));
        Assert.Empty(Run([Burn], flag with { RuleKind = "drift" }));
        Assert.Empty(Run([], flag));
    }

    [Fact]
    public void The_last_effect_counts_whatever_the_order()
    {
        var (a, b) = (FlagOn(10, 17, Burn), FlagOn(11, 20, Burn) with { Thing = new("thermal-residual", "thermal-residual-wind", "A", "green") });
        Assert.Equal(Assert.Single(Run([Burn], a, b)), Assert.Single(Run([Burn], b, a)));
        Assert.Equal(12, Run([Burn], b, a)[0].Value, 9);
    }

    [Fact]
    public void An_overrun_is_about_its_activity_and_is_never_explained_by_one()
    {
        var flag = Flag.Of(Run([Burn], FlagOn(10, 20, Burn))[0]);
        var other = Burn with { Id = "other", Summary = "Orbit raise 4", From = FlagScene.Middle(13), To = FlagScene.Middle(14) };
        var marked = ActivityMatcher.Explain(flag, FlagTopics.Of(flag.RuleKind, flag.Thing.Subject, _ => null), [Burn, other]);
        Assert.Empty(marked.ExplainedBy);
        Assert.Equal([new Explanation("burn-3", "Orbit raise 3", false)], marked.During);
    }
}
