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
    public void Late_data_split_a_flag_and_both_parts_stay_acknowledged()
    {
        Arrive(1, 15, 15, 15);
        _ledger.Acknowledge(_ledger.Standing.Single().Id, "kim");
        _ledger.Arrive(2, 5);
        Assert.Equal(["1-1 Acknowledged kim", "3-3 Acknowledged kim"], _ledger.Standing.Select(f => $"{f.FirstOrbit}-{f.LastOrbit} {f.State} {f.AcknowledgedBy}"));
    }

    [Fact]
    public void An_acknowledgement_survives_extension_forwards_and_backwards()
    {
        Arrive(5, 15);
        _ledger.Acknowledge(_ledger.Standing.Single().Id, "kim");
        _ledger.Arrive(6, 16);
        _ledger.Arrive(4, 14);
        var flag = Assert.Single(_ledger.Standing);
        Assert.Equal((4, 6, FlagState.Acknowledged, "kim", "seen"), (flag.FirstOrbit, flag.LastOrbit, flag.State, flag.AcknowledgedBy, flag.AcknowledgedNote));
    }

    [Fact]
    public void A_flag_that_grows_critical_needs_a_person_again_and_keeps_who_had_seen_it()
    {
        Arrive(5, 15);
        _ledger.Acknowledge(_ledger.Standing.Single().Id, "kim");
        _ledger.Arrive(6, 30);
        var flag = Assert.Single(_ledger.Standing);
        Assert.Equal((FlagState.Raised, FlagSeverity.Critical, "kim", FlagSeverity.Warning), (flag.State, flag.Severity, flag.AcknowledgedBy, flag.AcknowledgedSeverity));
        Assert.Contains("Grew from warning to critical", _ledger.Log[^1].Reason, StringComparison.Ordinal);
        _ledger.Acknowledge(flag.Id, "ada");
        _ledger.Arrive(7, 31);
        Assert.Equal((FlagState.Acknowledged, "ada"), (_ledger.Standing.Single().State, _ledger.Standing.Single().AcknowledgedBy));
    }

    [Fact]
    public void A_withdrawn_flag_cannot_be_acknowledged()
    {
        Arrive(1, 15);
        _ledger.Arrive(1, 5);
        var gone = _ledger.Log[^1].After;
        var error = Assert.Throws<InvalidOperationException>(() => gone.Acknowledge("kim", FlagScene.Start, null));
        Assert.Contains(gone.Id, error.Message, StringComparison.Ordinal);
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
