using FsCheck.Xunit;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;

namespace Phasekeeper.Core.Tests.Flags.Life;

/// <summary>What rules find and what people do, together.</summary>
public class LifeAfterRulesTests
{
    private readonly FlagLedger _ledger = new(FlagScene.Rule("thermal-residual", ("warningLimit", 10), ("criticalLimit", 20), ("quietOrbits", 0)), "thermal-residual-wind");

    private void Arrive(int first, params double[] values)
    {
        for (var i = 0; i < values.Length; i++) _ledger.Arrive(first + i, values[i]);
    }

    private Flag Only => Assert.Single(_ledger.Standing);

    private FlagLife Life => _ledger.Life(Only.Id);

    private void Take(string by) => _ledger.Step(Only.Id, by, new(LifeStepKind.Take));

    private void Settle(string by) => _ledger.Step(Only.Id, by, new(LifeStepKind.Settle, "Heater was off.", "instrument"));

    [Fact]
    public void Late_data_split_a_flag_and_both_parts_stay_with_who_had_it()
    {
        Arrive(1, 15, 15, 15);
        Take("kim");
        _ledger.Arrive(2, 5);
        Assert.Equal(["1-1 Taken kim", "3-3 Taken kim"], _ledger.Standing.Select(f => $"{f.FirstOrbit}-{f.LastOrbit} {_ledger.Life(f.Id).State} {_ledger.Life(f.Id).Holder}"));
    }

    [Fact]
    public void Data_before_and_after_leave_it_with_who_has_it()
    {
        Arrive(5, 15);
        Take("kim");
        _ledger.Arrive(6, 16);
        _ledger.Arrive(4, 14);
        Assert.Equal((4, 6, LifeState.Taken, "kim"), (Only.FirstOrbit, Only.LastOrbit, Life.State, Life.Holder));
        Assert.Empty(_ledger.Reopened);
    }

    [Fact]
    public void A_flag_that_grows_critical_needs_a_look_again_and_stays_whose_it_is()
    {
        Arrive(5, 15);
        Take("kim");
        _ledger.Arrive(6, 30);
        Assert.Equal((LifeState.Reopened, "kim", FlagSeverity.Critical), (Life.State, Life.Holder, Only.Severity));
        Assert.Contains("from warning to critical", Assert.Single(_ledger.Reopened), StringComparison.Ordinal);
        _ledger.Step(Only.Id, "kim", new(LifeStepKind.Take));
        _ledger.Arrive(7, 31);
        Assert.Equal(LifeState.Taken, Life.State);
    }

    [Fact]
    public void A_settled_flag_that_goes_on_for_more_than_a_day_of_orbits_is_reopened_and_a_shorter_run_out_is_not()
    {
        Arrive(5, 15);
        Settle("kim");
        Arrive(6, [.. Enumerable.Repeat(15.0, FlagSight.BeyondOrbits)]);
        Assert.Equal((LifeState.Settled, 5 + FlagSight.BeyondOrbits), (Life.State, Only.LastOrbit));
        _ledger.Arrive(6 + FlagSight.BeyondOrbits, 15);
        Assert.Equal((LifeState.Reopened, "kim", "instrument"), (Life.State, Life.Holder, Life.Cause));
        Assert.Contains("It goes on: orbits 5 to 21 now, orbit 5 when it was settled", Assert.Single(_ledger.Reopened), StringComparison.Ordinal);
    }

    [Fact]
    public void An_explanation_holds_while_the_condition_lasts()
    {
        Arrive(5, 15);
        _ledger.Step(Only.Id, "kim", new(LifeStepKind.Explain, "The heater is off.", "instrument"));
        Arrive(6, [.. Enumerable.Repeat(15.0, 3 * FlagSight.BeyondOrbits)]);
        Assert.Equal(LifeState.Explained, Life.State);
    }

    [Fact]
    public void A_withdrawn_flag_whose_ground_comes_back_as_it_was_is_where_people_left_it_and_another_ground_reopens_it()
    {
        Arrive(1, 5, 15, 5);
        Settle("kim");
        var id = Only.Id;
        var revision = Life.Revision;
        _ledger.Arrive(2, 6);
        Assert.Equal((LifeState.Withdrawn, LifeState.Settled, "kim"), (_ledger.Life(id).Shown, _ledger.Life(id).State, _ledger.Life(id).Holder));
        _ledger.Arrive(2, 15);
        Assert.Equal((LifeState.Settled, "kim"), (Life.Shown, Life.Holder));
        Assert.True(Life.Revision > revision);
        _ledger.Arrive(2, 6);
        _ledger.Arrive(2, 25);
        Assert.Equal((id, LifeState.Reopened, "kim"), (Only.Id, Life.Shown, Life.Holder));
    }

    [Fact]
    public void A_flag_that_nobody_has_is_raised_again()
    {
        Arrive(1, 15);
        _ledger.Arrive(1, 5);
        _ledger.Arrive(1, 15);
        Assert.Equal(LifeState.Raised, Life.Shown);
    }

    [Fact]
    public void Two_flags_with_lives_of_their_own_keep_them_when_they_are_joined()
    {
        Arrive(1, 15);
        Arrive(3, 16);
        var (early, late) = (_ledger.Standing.First().Id, _ledger.Standing.Last().Id);
        _ledger.Step(early, "kim", new(LifeStepKind.Take));
        _ledger.Step(late, "ada", new(LifeStepKind.Take));
        _ledger.Arrive(2, 17);
        Assert.Equal((early, "kim"), (Only.Id, Life.Holder));
        Assert.Equal((LifeState.Withdrawn, "ada"), (_ledger.Life(late).Shown, _ledger.Life(late).Holder));
    }

    /// <summary>Whatever arrives in whatever order: rules' flags are those without people, nobody's flag changes hands, and every orbit of a taken flag that still stands has its holder.</summary>
    [Property(MaxTest = 60)]
    public void People_change_nothing_of_what_rules_find_and_data_change_no_holder(int seed)
    {
        var random = new Random(seed);
        var rule = FlagScene.Rule("thermal-residual", ("warningLimit", 10), ("criticalLimit", 20), ("quietOrbits", random.Next(3)));
        var (alone, together) = (new FlagLedger(rule, "thermal-residual-wind"), new FlagLedger(rule, "thermal-residual-wind"));
        for (var i = 0; i < 60; i++)
        {
            var (orbit, value) = (random.Next(100, 120), random.Next(4, 24));
            var holders = together.Standing.Where(f => together.Life(f.Id).Holder is not null).ToDictionary(f => f.Id, f => together.Life(f.Id).Holder);
            alone.Arrive(orbit, value);
            together.Arrive(orbit, value);
            foreach (var (id, holder) in holders) Assert.Equal(holder, together.Life(id).Holder);
            foreach (var flag in together.Standing.ToList())
            {
                var life = together.Life(flag.Id);
                if (random.Next(3) == 0 && life.State is LifeState.Raised) together.Step(flag.Id, $"person {i}", new(LifeStepKind.Take));
                else if (random.Next(4) == 0 && life.State is LifeState.Taken) together.Step(flag.Id, life.Holder!, new(LifeStepKind.Settle, "known", "unknown"));
            }
        }
        Assert.Equal(alone.Standing.Count(), together.Standing.Count());
        Assert.All(alone.Standing.Zip(together.Standing), pair => Assert.True(pair.First.SameAs(pair.Second), $"{pair.First} and {pair.Second}"));
    }
}
