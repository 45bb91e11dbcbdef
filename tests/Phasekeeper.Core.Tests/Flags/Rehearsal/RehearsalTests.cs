using FsCheck.Xunit;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.Flags.Rehearsal;

namespace Phasekeeper.Core.Tests.Flags.Rehearsal;

/// <summary>A rule replayed over history, and its flags beside what people confirmed.</summary>
public class RehearsalTests
{
    private const string Tracker = "thermal-residual-wind";
    private static readonly FlagThing Thing = new("thermal-residual", Tracker, "F", "green");

    private static RuleDeclaration Rule(double warning) => FlagScene.Rule("thermal-residual", ("warningLimit", warning), ("criticalLimit", 60));

    private static FlagLedger Stored(RuleDeclaration rule, IEnumerable<(int Orbit, double Value)> values)
    {
        var ledger = new FlagLedger(rule, Tracker);
        foreach (var (orbit, value) in values) ledger.Arrive(orbit, value);
        return ledger;
    }

    [Property(MaxTest = 15)]
    public void The_rule_in_force_replayed_over_all_history_gives_exactly_the_stored_flags(int seed)
    {
        var random = new Random(seed);
        // Longer than two pieces, with conditions across their ends.
        var values = Enumerable.Range(0, 340).Where(_ => random.NextDouble() < 0.9).Select(o => (o, (double)(o is > 140 and < 160 ? 15 : random.Next(4, 13)))).ToList();
        var ledger = Stored(Rule(10), values);
        var found = RehearsalRun.Flags(Rule(10), ledger.FirstOrbit, ledger.LastOrbit, ledger, []);
        var stored = ledger.Standing.OrderBy(f => f.FirstOrbit).ThenBy(f => f.Id, StringComparer.Ordinal).ToList();
        Assert.Equal(stored.Count, found.Count);
        Assert.All(stored.Zip(found), pair => Assert.True(pair.First.SameAs(pair.Second), $"{pair.First} is not {pair.Second}"));
        Assert.NotEmpty(found);
    }

    [Fact]
    public void A_part_of_history_gives_the_whole_flags_that_touch_it()
    {
        var ledger = Stored(Rule(10), Enumerable.Range(0, 60).Select(o => (o, o is >= 10 and <= 20 or >= 40 and <= 45 ? 15.0 : 5.0)));
        Assert.Equal(["10-20"], RehearsalRun.Flags(Rule(10), 18, 30, ledger, []).Select(f => $"{f.FirstOrbit}-{f.LastOrbit}"));
        Assert.Empty(RehearsalRun.Flags(Rule(10), 22, 30, ledger, []));
        Assert.Empty(RehearsalRun.Flags(Rule(10) with { Enabled = false }, 0, 59, ledger, []));
    }

    [Fact]
    public void It_tells_how_far_it_is_and_ends_when_told()
    {
        var ledger = Stored(Rule(10), Enumerable.Range(0, 320).Select(o => (o, 5.0)));
        var told = new List<int>();
        RehearsalRun.Flags(Rule(10), 0, 319, ledger, [], told.Add);
        Assert.Equal([149, 299, 319], told);
        using var ending = new CancellationTokenSource();
        Assert.Throws<OperationCanceledException>(() => RehearsalRun.Flags(Rule(10), 0, 319, ledger, [], _ => ending.Cancel(), ending.Token));
    }

    [Fact]
    public void A_raised_limit_misses_a_confirmed_event_and_a_lowered_one_raises_false_flags()
    {
        var ledger = Stored(Rule(10), Enumerable.Range(0, 60).Select(o => (o, o is 20 or 21 or 22 ? 15.0 : o is 40 or 41 ? 8.0 : 5.0)));
        var real = Event("real", EventTruth.Real, 20, 22);
        var nothing = Event("nothing", EventTruth.FalseAlarm, 40, 41);
        RehearsalComparison Of(double limit) => RehearsalComparison.Of(RehearsalRun.Flags(Rule(limit), 0, 59, ledger, []), [real, nothing]);
        var (now, raised, lowered) = (Of(10), Of(20), Of(7));
        Assert.Equal((1, 0, 1, 0), (now.Found, now.Missed, now.Count(FlagTruth.True), now.Count(FlagTruth.False)));
        Assert.Equal((0, 1, 0, 0), (raised.Found, raised.Missed, raised.Count(FlagTruth.True), raised.Count(FlagTruth.False)));
        Assert.Equal((1, 0, 1, 1), (lowered.Found, lowered.Missed, lowered.Count(FlagTruth.True), lowered.Count(FlagTruth.False)));
        Assert.Equal(0, now.Events[0].DelayS);
        Assert.True(double.IsNaN(raised.Events[0].DelayS));
        Assert.Equal([true], lowered.FalseAlarms.Select(e => e.Found));
    }

    [Fact]
    public void An_event_of_one_thing_is_not_found_by_a_flag_of_another_and_a_noted_one_by_any_of_the_rule()
    {
        var ledger = Stored(Rule(10), Enumerable.Range(0, 30).Select(o => (o, o is 10 or 11 ? 15.0 : 5.0)));
        var flags = RehearsalRun.Flags(Rule(10), 0, 29, ledger, []);
        Assert.False(RehearsalComparison.Of(flags, [Event("a", EventTruth.Real, 10, 10) with { Thing = Thing with { View = "A" } }]).Events[0].Found);
        var noted = RehearsalComparison.Of(flags, [Event("b", EventTruth.Real, 8, 10) with { Thing = null }]);
        Assert.True(noted.Events[0].Found);
        Assert.Equal(2 * FlagScene.OrbitS, noted.Events[0].DelayS);
    }

    [Theory]
    [InlineData("instrument", EventTruth.Real)]
    [InlineData("planned activity", EventTruth.Real)]
    [InlineData("a cause of the mission's own", EventTruth.Real)]
    [InlineData("Rule too tight", EventTruth.FalseAlarm)]
    [InlineData("unknown", null)]
    [InlineData(null, null)]
    public void Causes_say_whether_something_was_there(string? cause, EventTruth? truth)
    {
        Assert.Equal(truth, RehearsalEvent.TruthOf(cause));
        Assert.Contains(FlagCauses.RuleTooTight, FlagCauses.Default);
        Assert.Contains(FlagCauses.Unknown, FlagCauses.Default);
    }

    [Property(MaxTest = 100)]
    public void Found_and_missed_are_the_real_events_and_every_flag_is_judged_once(int seed)
    {
        var random = new Random(seed);
        var ledger = Stored(Rule(10), Enumerable.Range(0, 50).Select(o => (o, (double)random.Next(4, 14))));
        var flags = RehearsalRun.Flags(Rule(random.Next(7, 14)), 0, 49, ledger, []);
        var events = Enumerable.Range(0, random.Next(8)).Select(i => random.Next(50) is var first ? Event($"e{i}", random.Next(3) == 0 ? EventTruth.FalseAlarm : EventTruth.Real, first, first + random.Next(6)) : null!).ToArray();
        var c = RehearsalComparison.Of(flags, events);
        Assert.Equal(events.Count(e => e.Truth == EventTruth.Real), c.Found + c.Missed);
        Assert.Equal(flags.Count, c.Count(FlagTruth.True) + c.Count(FlagTruth.False) + c.Count(FlagTruth.Unknown));
        Assert.Equal(c.Count(FlagTruth.True) > 0, c.Found > 0);
    }

    [Fact]
    public void Two_versions_are_told_apart_parameter_by_parameter()
    {
        var differences = RuleDifference.Of(Rule(10), Rule(12) with { Enabled = false });
        Assert.Equal(["enabled on off", "warningLimit 10 12"], differences.Select(d => $"{d.What} {d.Before} {d.After}"));
        Assert.Equal("m/s", differences[1].Unit);
        Assert.Equal("not there", Assert.Single(RuleDifference.Of(null, Rule(10))).Before);
        Assert.Empty(RuleDifference.Of(Rule(10), Rule(10)));
    }

    private static RehearsalEvent Event(string id, EventTruth truth, int first, int last) => new(id, "instrument", truth, Thing, FlagScene.Span(first).Start, FlagScene.Span(last).End, first, last);
}
