using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Tests.Flags;

namespace Phasekeeper.Core.Tests.Activities;

public class ActivityMatcherTests
{
    private static Flag FlagOn(int first, int last)
    {
        var values = Enumerable.Range(first, last - first + 1).Select(o => (o, 15.0));
        var inputs = FlagScene.Inputs(0, 99) with { Series = [FlagScene.Series("thermal-residual-wind", "F", "green", "m/s", values)] };
        return Flag.Of(RuleReplay.Run(FlagScene.Rule("thermal-residual"), inputs).Single());
    }

    private static PlannedActivity Activity(ActivityKind kind, int firstOrbit, int lastOrbit) =>
        new("uid-1", kind, "Orbit raise 3", FlagScene.Middle(firstOrbit), FlagScene.Middle(lastOrbit));

    [Fact]
    public void A_flag_within_a_manoeuvre_is_marked_and_nothing_else_of_it_changes()
    {
        var flag = FlagOn(10, 11);
        var marked = ActivityMatcher.Explain(flag, [Activity(ActivityKind.Manoeuvre, 10, 11)]);
        Assert.Equal([new Explanation("uid-1", "Orbit raise 3", true)], marked.ExplainedBy);
        Assert.Equal(flag with { ExplainedBy = marked.ExplainedBy }, marked);
        Assert.Equal(FlagState.Raised, marked.State);
    }

    [Fact]
    public void A_flag_that_outlasts_the_activity_is_explained_in_part_only() =>
        Assert.False(ActivityMatcher.Explain(FlagOn(10, 30), [Activity(ActivityKind.Manoeuvre, 10, 11)]).ExplainedBy.Single().Whole);

    [Fact]
    public void A_flag_that_began_before_the_activity_is_not_explained_by_it() =>
        Assert.Empty(ActivityMatcher.Explain(FlagOn(5, 11), [Activity(ActivityKind.Manoeuvre, 10, 11)]).ExplainedBy);

    [Fact]
    public void A_flag_of_a_kind_that_the_activity_does_not_cause_is_not_explained()
    {
        var flag = FlagOn(10, 10) with { RuleKind = "data-conflict" };
        Assert.All(Enum.GetValues<ActivityKind>(), kind => Assert.Empty(ActivityMatcher.Explain(flag, [Activity(kind, 9, 11)]).ExplainedBy));
    }

    [Fact]
    public void Effects_name_existing_kinds_of_rules() => Assert.All(Enum.GetValues<ActivityKind>(), kind =>
        Assert.All(ActivityEffects.Of(kind).RuleKinds, id => Assert.NotNull(RuleCatalog.Find(id))));

    [Fact]
    public void An_activity_that_arrives_later_marks_standing_flags()
    {
        var condition = RuleReplay.Run(FlagScene.Rule("thermal-residual"), FlagScene.Inputs(0, 99) with
        {
            Series = [FlagScene.Series("thermal-residual-wind", "F", "green", "m/s", [(10, 15.0)])],
        }).Single();
        var flag = Assert.Single(FlagReconciler.Reconcile([], [condition], [])).After;
        var change = Assert.Single(FlagReconciler.Reconcile([flag], [condition], [Activity(ActivityKind.BakeOut, 10, 11)]));
        Assert.Equal(FlagChangeKind.Revise, change.Kind);
        Assert.Single(change.After.ExplainedBy);
    }
}
