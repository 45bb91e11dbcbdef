using FsCheck.Xunit;
using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Grouping;

namespace Phasekeeper.Core.Tests.Flags;

/// <summary>Rules about data, rules about flags, versions of both and planned activities together.</summary>
public class FlagRoundTests
{
    private const string Overrun = "activity-overrun", Residual = "thermal-residual";
    private static readonly RuleDeclaration At10 = FlagScene.Rule(Residual, ("warningLimit", 10), ("criticalLimit", 40));
    private static readonly RuleDeclaration At12 = FlagScene.Rule(Residual, ("warningLimit", 12), ("criticalLimit", 40)) with { Version = 2 };
    private static readonly RuleDeclaration Over = FlagScene.Rule(Overrun);
    private static readonly RuleDeclaration Patient = FlagScene.Rule(Overrun, ("limit", 6)) with { Version = 2 };

    // From the middle of orbit 10 to that of 11; settles two orbits after, in the middle of orbit 13.
    private static readonly PlannedActivity Burn = new("burn-3", ActivityKinds.Manoeuvre, "Orbit raise 3", FlagScene.Middle(10), FlagScene.Middle(11));

    private static RuleTimeline One(params RuleDeclaration[] rules) => RuleTimeline.Of(new("a", rules));

    private static RuleTimeline Two(int orbit, RuleDeclaration[] before, RuleDeclaration[] after) => new([new(1, int.MinValue, new("a", before)), new(2, orbit, new("a", after))]);

    // Orbits 5 to 22, over the limit on 10 to 20.
    private static RoundLedger Told(RuleTimeline rules, params PlannedActivity[] activities)
    {
        var ledger = new RoundLedger(rules, activities);
        ledger.ArriveAll(5, [.. Enumerable.Range(5, 18).Select(o => o is >= 10 and <= 20 ? 15.0 : 5.0)]);
        return ledger;
    }

    [Fact]
    public void An_overrun_comes_with_the_effects_grows_with_them_and_goes_when_the_activity_is_prolonged()
    {
        var ledger = Told(One(At10, Over), Burn);
        Assert.Equal(["activity-overrun 13-20 v1", "thermal-residual 10-20 v1"], ledger.Standing.Select(RoundLedger.Shown));
        var overrun = ledger.Of(Overrun)[0];
        Assert.Equal(12, overrun.Value, 9);
        Assert.Equal(FlagChangeKind.Raise, ledger.Log.First(c => c.After.Id == overrun.Id).Kind);
        Assert.Contains(ledger.Log, c => c.After.Id == overrun.Id && c.Kind == FlagChangeKind.Extend);

        ledger.Plan(Burn with { To = FlagScene.Middle(19) });
        Assert.Equal(["thermal-residual 10-20 v1"], ledger.Standing.Select(RoundLedger.Shown));
        Assert.True(ledger.Of(Residual)[0].ExplainedBy.Single().Whole);
        Assert.NotNull(ledger[overrun.Id].WithdrawnReason);

        // Back as it was, and cancelled: an activity that is not there overruns nothing.
        ledger.Plan(Burn);
        Assert.Equal(overrun.Id, ledger.Of(Overrun).Single().Id);
        ledger.Plan();
        Assert.Empty(ledger.Of(Overrun));
        Assert.Empty(ledger.Of(Residual)[0].ExplainedBy);
    }

    [Fact]
    public void An_effect_that_goes_or_is_cut_takes_its_overrun_along()
    {
        var ledger = Told(One(At10, Over), Burn);
        for (var orbit = 17; orbit <= 20; orbit++) ledger.Arrive(orbit, 5.0);
        Assert.Equal(["activity-overrun 13-16 v1", "thermal-residual 10-16 v1"], ledger.Standing.Select(RoundLedger.Shown));
        for (var orbit = 10; orbit <= 16; orbit++) ledger.Arrive(orbit, 5.0);
        Assert.Empty(ledger.Standing);
    }

    [Fact]
    public void Of_two_versions_of_the_overrun_rule_each_judges_its_orbits_alone()
    {
        var ledger = Told(Two(16, [At10, Over], [At10, Patient]), Burn);
        Assert.Equal(["activity-overrun 13-15 v1", "activity-overrun 16-20 v2", "thermal-residual 10-20 v1"], ledger.Standing.Select(RoundLedger.Shown));
        var (first, second) = (ledger.Of(Overrun)[0], ledger.Of(Overrun)[1]);
        // What the first version says is what it would say if data ended with its last orbit: 2.5 orbits of 1.6 h.
        Assert.Equal((FlagScene.Span(15).End, FlagScene.Span(16).Start), (first.To, second.From));
        Assert.Equal((4.0, 12.0, 6.0), (Math.Round(first.Value, 9), Math.Round(second.Value, 9), second.Limit));
    }

    [Fact]
    public void A_version_that_retires_the_overrun_rule_leaves_what_was_before_it()
    {
        var ledger = Told(One(At10, Over), Burn);
        ledger.Approve(Two(16, [At10, Over], [At10, Over with { Enabled = false }]));
        Assert.Equal(["activity-overrun 13-15 v1", "thermal-residual 10-20 v1"], ledger.Standing.Select(RoundLedger.Shown));
        ledger = Told(One(At10, Over), Burn);
        ledger.Approve(Two(12, [At10, Over], [At10]));
        Assert.Equal(["thermal-residual 10-20 v1"], ledger.Standing.Select(RoundLedger.Shown));
        Assert.Contains("does not run this rule", ledger.Log[^1].After.WithdrawnReason, StringComparison.Ordinal);
    }

    [Fact]
    public void Where_a_version_cuts_an_effect_both_parts_are_marked_and_the_overrun_goes_on_to_the_end()
    {
        var ledger = Told(Two(16, [At10, Over], [At12, Over]), Burn);
        Assert.Equal(["activity-overrun 13-20 v1", "thermal-residual 10-15 v1", "thermal-residual 16-20 v2"], ledger.Standing.Select(RoundLedger.Shown));
        Assert.All(ledger.Of(Residual), f => Assert.Equal("burn-3", f.ExplainedBy.Single().ActivityId));
        Assert.Equal(12, ledger.Of(Overrun)[0].Value, 9);
        // The same when the version comes after the data: the part that carries on says which flag it carries on.
        var later = Told(One(At10, Over), Burn);
        var former = later.Of(Residual)[0].Id;
        later.Approve(Two(16, [At10, Over], [At12, Over]));
        Assert.Equal(ledger.Standing.Select(RoundLedger.Whole), later.Standing.Select(RoundLedger.Whole));
        Assert.Equal([former], later.Log.Single(c => c.Kind == FlagChangeKind.Raise && c.After.FirstOrbit == 16).TakesOver);
    }

    [Theory]
    [InlineData(FlagTopic.Temperature, 1, 0)]
    [InlineData(FlagTopic.Lamp, 0, 1)]
    public void What_a_flag_is_about_is_asked_of_the_mission_with_two_versions_too(FlagTopic topic, int explained, int during)
    {
        foreach (var rules in new[] { One(At10), Two(16, [At10], [At12]), Two(11, [At12 with { Version = 1 }], [At10 with { Version = 2 }]) })
        {
            // A heater test is expected to move temperatures, and nothing of the lamp.
            var ledger = new RoundLedger(rules, Burn with { Kind = ActivityKinds.HeaterTest }) { Topic = topic };
            ledger.ArriveAll(5, [.. Enumerable.Range(5, 8).Select(o => o is 10 or 11 ? 15.0 : 5.0)]);
            Assert.NotEmpty(ledger.Standing);
            Assert.All(ledger.Standing, f => Assert.Equal((explained, during), (f.ExplainedBy.Count, f.During.Count)));
        }
    }

    [Fact]
    public void Flags_of_a_rule_that_only_a_replaced_version_ran_are_withdrawn()
    {
        RuleVersion first = new(1, int.MinValue, new("a", [Over])), second = new(2, 8, new("a", [Over, At10])), third = new(3, 8, new("a", [Over]));
        var ledger = Told(new([first, second]), Burn);
        Assert.Equal(2, ledger.Standing.Count);
        ledger.Approve(new([first, second, third]));
        Assert.Empty(ledger.Standing);
    }

    [Property(MaxTest = 60)]
    public void Any_order_of_data_activities_and_versions_ends_in_the_same_flags(int seed)
    {
        var random = new Random(seed);
        RuleDeclaration[][] sets = [[At10, Over], [At12, Over], [At10, Patient], [At12, Patient], [At10], [Over], [At12, Over with { Enabled = false }]];
        var (a, b) = (random.Next(103, 116), random.Next(103, 124));
        RuleVersion[] versions = [new(1, int.MinValue, new("a", sets[random.Next(4)])), new(2, Math.Min(a, b), new("a", sets[random.Next(sets.Length)])), new(3, Math.Max(a, b), new("a", sets[random.Next(sets.Length)]))];
        PlannedActivity Any(int i) => new($"act-{i}", random.Next(2) == 0 ? ActivityKinds.Manoeuvre : ActivityKinds.HeaterTest, $"Activity {i}", FlagScene.Start.AddSeconds((100 + (random.NextDouble() * 20)) * FlagScene.OrbitS), FlagScene.Start.AddSeconds((121 + (random.NextDouble() * 3)) * FlagScene.OrbitS));
        PlannedActivity Short(PlannedActivity p) => p with { To = p.From.AddSeconds(random.NextDouble() * 2 * FlagScene.OrbitS) };
        PlannedActivity[] plan = [.. Enumerable.Range(0, random.Next(1, 4)).Select(i => Short(Any(i)))];
        var values = Enumerable.Range(100, 30).Where(_ => random.NextDouble() < 0.85).Select(o => (Orbit: o, Value: (double)(random.NextDouble() < 0.7 ? random.Next(9, 18) : 5))).ToList();

        var straight = new RoundLedger(new(versions), plan);
        foreach (var (orbit, value) in values) straight.Arrive(orbit, value);

        var mixed = new RoundLedger(new([versions[0]]));
        foreach (var orbit in Enumerable.Range(100, 30).Where(_ => random.NextDouble() < 0.3)) mixed.Arrive(orbit, random.Next(4, 18));
        var steps = values.Select(v => (Action)(() => mixed.Arrive(v.Orbit, v.Value))).Concat(Enumerable.Range(100, 30).Except(values.Select(v => v.Orbit)).Select(o => (Action)(() => mixed.Arrive(o, (double?)null)))).ToList();
        // Activities come one by one, first otherwise; versions in their order.
        foreach (var activity in plan)
        {
            var other = Any(9) with { Id = activity.Id };
            steps.Add(() => mixed.Plan([.. mixed.Activities.Where(p => p.Id != activity.Id), mixed.Activities.Any(p => p.Id == activity.Id) ? activity : other]));
        }
        var order = steps.OrderBy(_ => random.Next()).ToList();
        foreach (var number in new[] { 3, 2 }) order.Insert(random.Next(order.Count), () => mixed.Approve(new(versions[..Math.Min(3, mixed.Rules.Newest.Number == 1 ? 2 : 3)])));
        foreach (var step in order) step();
        mixed.Plan(plan);

        Assert.Equal(straight.Standing.Select(RoundLedger.Whole), mixed.Standing.Select(RoundLedger.Whole));
        // No flag reaches over an orbit from which its rule is another one.
        foreach (var flag in straight.Standing) Assert.Single(straight.Rules.Of(flag.Thing.Rule), s => s.FirstOrbit <= flag.LastOrbit && s.LastOrbit >= flag.FirstOrbit && s.Rule is not null);
    }
}
