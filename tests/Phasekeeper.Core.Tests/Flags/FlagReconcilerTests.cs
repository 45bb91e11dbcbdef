using Phasekeeper.Core.Flags;

namespace Phasekeeper.Core.Tests.Flags;

public class FlagReconcilerTests
{
    private readonly FlagLedger _ledger = new(FlagScene.Rule("thermal-residual", ("warningLimit", 10), ("criticalLimit", 20), ("quietOrbits", 0)), "thermal-residual-wind");

    private void Arrive(int first, params double[] values)
    {
        for (var i = 0; i < values.Length; i++) _ledger.Arrive(first + i, values[i]);
    }

    [Fact]
    public void A_condition_that_lasts_is_raised_once_and_extended()
    {
        Arrive(1, 5, 15, 16, 17, 5);
        var flag = Assert.Single(_ledger.Standing);
        Assert.Equal((2, 4, 17.0, 10.0, FlagSeverity.Warning), (flag.FirstOrbit, flag.LastOrbit, flag.Value, flag.Limit, flag.Severity));
        Assert.Equal([FlagChangeKind.Raise, FlagChangeKind.Extend, FlagChangeKind.Extend], _ledger.Log.Select(c => c.Kind));
        Assert.Equal("The thermal correction left 17 m/s (rms) on orbit 4, view F, green; limit 10 m/s. Worst of orbits 2 to 4.", flag.Message);
        Assert.Equal("ground 1", flag.Evidence.CoefficientSet);
        Assert.True(flag.Evidence.PlotFrom < flag.From && flag.Evidence.PlotTo > flag.To);
    }

    [Fact]
    public void Late_data_that_remove_the_ground_withdraw_the_flag_visibly_and_it_comes_back_with_its_ground()
    {
        Arrive(1, 5, 15, 5);
        _ledger.Arrive(2, 6);
        Assert.Empty(_ledger.Standing);
        var gone = _ledger.Log[^1];
        Assert.Equal(FlagChangeKind.Withdraw, gone.Kind);
        Assert.Equal(FlagState.Withdrawn, gone.After.State);
        Assert.Contains("no longer finds", gone.After.WithdrawnReason, StringComparison.Ordinal);
        _ledger.Arrive(2, 18);
        Assert.Equal(FlagChangeKind.Reraise, _ledger.Log[^1].Kind);
        var back = Assert.Single(_ledger.Standing);
        Assert.Equal(gone.After.Id, back.Id);
        Assert.Null(back.WithdrawnReason);
    }

    [Fact]
    public void Late_data_join_two_stretches_into_the_earlier_flag()
    {
        Arrive(1, 15);
        Arrive(3, 16);
        Assert.Equal(2, _ledger.Standing.Count());
        var later = _ledger.Standing.Last().Id;
        _ledger.Arrive(2, 17);
        var one = Assert.Single(_ledger.Standing);
        Assert.Equal((1, 3), (one.FirstOrbit, one.LastOrbit));
        var merged = _ledger[later];
        Assert.Equal((FlagState.Withdrawn, one.Id), (merged.State, merged.ContinuedBy));
        Assert.Contains(one.Id, merged.WithdrawnReason, StringComparison.Ordinal);
    }

    [Fact]
    public void Ids_are_safe_in_an_address_and_differ_by_thing()
    {
        var a = FlagId.Of(new("r", "A/B c", "F", null), 7);
        Assert.Matches("^[a-z0-9.-]+$", a);
        Assert.NotEqual(a, FlagId.Of(new("r", "A/B c", null, "F"), 7));
        Assert.NotEqual(a, FlagId.Of(new("r", "A/B c", "F", null), 8));
    }
}
