using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Grouping;
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

    private static Flag Explain(Flag flag, params PlannedActivity[] activities) => ActivityMatcher.Explain(flag, FlagTopics.Of(flag.RuleKind, flag.Thing.Subject, _ => null), activities);

    private static PlannedActivity Activity(ActivityKind kind, int firstOrbit, int lastOrbit) =>
        new("uid-1", kind, "Orbit raise 3", FlagScene.Middle(firstOrbit), FlagScene.Middle(lastOrbit));

    [Fact]
    public void A_flag_within_a_manoeuvre_is_marked_and_nothing_else_of_it_changes()
    {
        var flag = FlagOn(10, 11);
        var marked = Explain(flag, [Activity(ActivityKinds.Manoeuvre, 10, 11)]);
        Assert.Equal([new Explanation("uid-1", "Orbit raise 3", true)], marked.ExplainedBy);
        Assert.Empty(marked.During);
        Assert.Equal(flag with { ExplainedBy = marked.ExplainedBy, During = marked.During }, marked);
        Assert.Equal(FlagState.Raised, marked.State);
    }

    [Fact]
    public void A_flag_that_outlasts_the_activity_is_explained_in_part_only() =>
        Assert.False(Explain(FlagOn(10, 30), [Activity(ActivityKinds.Manoeuvre, 10, 11)]).ExplainedBy.Single().Whole);

    [Fact]
    public void A_flag_that_began_before_the_activity_is_not_explained_by_it() =>
        Assert.Empty(Explain(FlagOn(5, 11), [Activity(ActivityKinds.Manoeuvre, 10, 11)]).ExplainedBy);

    [Fact]
    public void A_flag_of_a_kind_that_the_activity_does_not_cause_is_not_explained()
    {
        var flag = FlagOn(10, 10) with { RuleKind = "stale-coefficients" };
        Assert.All(ActivityKinds.Default.All, kind => Assert.Empty(Explain(flag, [Activity(kind, 9, 11)]).ExplainedBy));
    }

    [Fact]
    public void A_flag_that_the_kind_does_not_cause_is_said_to_lie_during_it_and_stays_unexplained()
    {
        var marked = Explain(FlagOn(10, 10), [Activity(ActivityKinds.SoftwareUpload, 10, 11)]);
        Assert.Empty(marked.ExplainedBy);
        Assert.Equal([new Explanation("uid-1", "Orbit raise 3", true)], marked.During);
    }

    [Fact]
    public void What_comes_while_an_activity_settles_is_not_during_it() =>
        Assert.Empty(Explain(FlagOn(13, 13), [Activity(ActivityKinds.SoftwareUpload, 10, 11)]).During);

    [Fact]
    public void An_activity_may_expect_other_topics_than_its_kind()
    {
        var upload = Activity(ActivityKinds.SoftwareUpload, 10, 11) with { Expects = [FlagTopic.ThermalPhase] };
        Assert.Single(Explain(FlagOn(10, 10), [upload]).ExplainedBy);
        Assert.Empty(Explain(FlagOn(10, 10), [Activity(ActivityKinds.Manoeuvre, 10, 11) with { Expects = [] }]).ExplainedBy);
    }

    [Fact]
    public void Kinds_expect_topics_that_flags_can_have_and_never_an_activity() => Assert.All(ActivityKinds.Default.All, kind =>
    {
        Assert.NotEmpty(kind.Expects);
        Assert.All(kind.Expects, topic => Assert.Contains(topic, ActivityTopics.All));
        Assert.Equal(kind.Expects.Distinct().Order(), kind.Expects);
        Assert.Same(kind, ActivityKinds.Default.Of([kind.Id], null));
    });

    [Fact]
    public void Topics_have_words_that_are_read_back() => Assert.All(ActivityTopics.All, topic => Assert.Equal(topic, ActivityTopics.Find(ActivityTopics.Word(topic))));

    [Fact]
    public void An_activity_that_arrives_later_marks_standing_flags()
    {
        var condition = RuleReplay.Run(FlagScene.Rule("thermal-residual"), FlagScene.Inputs(0, 99) with
        {
            Series = [FlagScene.Series("thermal-residual-wind", "F", "green", "m/s", [(10, 15.0)])],
        }).Single();
        var flag = Assert.Single(FlagReconciler.Reconcile([], [condition], [])).After;
        var change = Assert.Single(FlagReconciler.Reconcile([flag], [condition], [Activity(ActivityKinds.BakeOut, 10, 11)]));
        Assert.Equal(FlagChangeKind.Revise, change.Kind);
        Assert.Single(change.After.ExplainedBy);
    }
}
