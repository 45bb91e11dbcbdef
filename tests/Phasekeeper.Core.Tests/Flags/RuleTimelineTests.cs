using FsCheck.Xunit;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;

namespace Phasekeeper.Core.Tests.Flags;

/// <summary>Which version of a rule judges which orbit, whatever the order in which data come.</summary>
public class RuleTimelineTests
{
    private const string Tracker = "thermal-residual-wind";
    private static readonly RuleDeclaration At10 = FlagScene.Rule("thermal-residual", ("warningLimit", 10), ("criticalLimit", 40));
    private static readonly RuleDeclaration At20 = FlagScene.Rule("thermal-residual", ("warningLimit", 20), ("criticalLimit", 40)) with { Version = 2 };
    private static readonly RuleDeclaration Another = FlagScene.Rule("dark-growth");

    private static RuleTimeline Versions(RuleDeclaration before, int orbit, params RuleDeclaration[] after) => new([new(1, int.MinValue, new("a", [before, Another])), new(2, orbit, new("a", [.. after, Another]))]);

    private static FlagLedger Ledger(RuleTimeline versions, int first, params double[] values)
    {
        var ledger = new FlagLedger(At10, Tracker) { Versions = versions };
        for (var i = 0; i < values.Length; i++) ledger.Arrive(first + i, values[i]);
        return ledger;
    }

    private static string Shown(Flag f) => $"{f.FirstOrbit}-{f.LastOrbit} v{f.RuleVersion[0]} {f.Limit}";

    [Fact]
    public void A_version_that_leaves_a_rule_alone_does_not_cut_it()
    {
        var versions = Versions(At10, 100, At20);
        Assert.Equal((1, 1, 2), (versions.At(-5).Number, versions.At(99).Number, versions.At(100).Number));
        Assert.Equal([(int.MinValue, 99, 1L), (100, int.MaxValue, 2L)], versions.Of(At10.Id).Select(s => (s.FirstOrbit, s.LastOrbit, s.Version)));
        Assert.Single(versions.Of(Another.Id));
        Assert.Equal([null, 2], Versions(At10 with { Enabled = false }, 100, At20).Of(At10.Id).Select(s => s.Rule?.Version));
    }

    [Fact]
    public void Versions_begin_in_their_order_and_the_later_of_two_that_begin_together_counts()
    {
        var rules = new RuleSet("a", [At10]);
        Assert.Throws<ArgumentException>(() => new RuleTimeline([new(1, 5, rules), new(2, 4, rules)]));
        Assert.Throws<ArgumentException>(() => new RuleTimeline([]));
        Assert.Equal([1L, 3L], new RuleTimeline([new(1, int.MinValue, rules), new(2, 5, rules), new(3, 5, rules)]).Versions.Select(v => v.Number));
    }

    [Fact]
    public void A_raised_limit_ends_flags_where_it_begins_and_leaves_those_before()
    {
        var ledger = Ledger(Versions(At10, 10, At20), 5, 5, 5, 5, 15, 15, 15, 15, 25, 25, 5, 5);
        Assert.Equal(["8-9 v1 10", "12-13 v2 20"], ledger.Standing.Select(Shown));
    }

    [Fact]
    public void A_lowered_limit_judges_a_condition_that_began_before_it_from_its_own_first_orbit_on()
    {
        var ledger = Ledger(Versions(At20, 10, At10 with { Version = 2 }), 5, 5, 5, 5, 15, 15, 15, 15, 5, 5, 5);
        var flag = Assert.Single(ledger.Standing);
        Assert.Equal("10-11 v2 10", Shown(flag));
        Assert.Equal(FlagScene.Span(10).Start, flag.From);
        Assert.Contains("Holds since orbit 8", flag.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Late_data_are_judged_by_the_version_of_their_orbit()
    {
        var ledger = Ledger(Versions(At10, 10, At20), 6, 5, 5, 5, 5, 5, 5, 5, 5);
        Assert.Empty(ledger.Standing);
        ledger.Arrive(7, 15);
        ledger.Arrive(8, 15);
        ledger.Arrive(11, 15);
        ledger.Arrive(12, 15);
        Assert.Equal(["7-8 v1 10"], ledger.Standing.Select(Shown));
    }

    [Fact]
    public void A_version_for_orbits_of_the_past_takes_their_flags_and_what_people_did_goes_on()
    {
        var ledger = Ledger(RuleTimeline.Of(new("a", [At10, Another])), 5, 5, 5, 25, 25, 25, 25, 25, 5, 5, 15, 15, 5);
        var (first, second) = (ledger.Standing.First(), ledger.Standing.Last());
        ledger.Step(first.Id, "kim", new(LifeStepKind.Take));
        ledger.Versions = Versions(At10, 10, At20);
        ledger.Assess(9, 16);
        Assert.Equal(["7-9 v1 10", "10-11 v2 20"], ledger.Standing.Select(Shown));
        Assert.All(ledger.Standing, f => Assert.Equal("kim", ledger.Life(f.Id).Holder));
        Assert.False(ledger[second.Id].Stands);
        Assert.Contains("Version 2", ledger[second.Id].WithdrawnReason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_version_without_the_rule_ends_it_and_leaves_what_was()
    {
        var ledger = Ledger(RuleTimeline.Of(new("a", [At10, Another])), 5, 5, 5, 15, 15, 15, 15, 5, 5, 5, 15, 15);
        ledger.Versions = Versions(At10, 9);
        ledger.Assess(8, 15);
        Assert.Equal(["7-8 v1 10"], ledger.Standing.Select(Shown));
    }

    [Property(MaxTest = 40)]
    public void Any_order_of_arrival_ends_in_the_same_flags(int seed)
    {
        var random = new Random(seed);
        var versions = random.Next(2) == 0 ? Versions(At10, 110, At20) : Versions(At20, 110, At10 with { Version = 2 });
        var values = Enumerable.Range(100, 25).Where(_ => random.NextDouble() < 0.85).Select(o => (Orbit: o, Value: (double)random.Next(4, 28))).ToList();
        var (straight, mixed) = (new FlagLedger(At10, Tracker) { Versions = versions }, new FlagLedger(At10, Tracker) { Versions = versions });
        foreach (var (orbit, value) in values) straight.Arrive(orbit, value);
        foreach (var orbit in Enumerable.Range(100, 25).Where(_ => random.NextDouble() < 0.3)) mixed.Arrive(orbit, random.Next(4, 28));
        foreach (var orbit in Enumerable.Range(100, 25).Where(o => values.All(v => v.Orbit != o))) mixed.Arrive(orbit, null);
        foreach (var (orbit, value) in values.OrderBy(_ => random.Next())) mixed.Arrive(orbit, value);
        Assert.Equal(straight.Standing.Select(f => (f.Id, Shown(f), f.Message)), mixed.Standing.Select(f => (f.Id, Shown(f), f.Message)));
        Assert.All(straight.Standing, f => Assert.False(f.FirstOrbit < 110 && f.LastOrbit >= 110));
    }
}
