using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Tests.Flags.Rules;

public class DataRulesTests
{
    private static readonly RuleInputs Empty = FlagScene.Inputs(0, 40) with { Coefficients = [] };

    private static Condition One(string kind, RuleInputs inputs) => Assert.Single(RuleReplay.Run(FlagScene.Rule(kind), inputs));

    [Fact]
    public void A_lost_orbit_is_one_warning_and_the_open_orbit_is_not_judged()
    {
        var arrivals = Enumerable.Range(0, 6).Select(o => new OrbitArrival(o, 96, o is 2 ? 0 : o is 5 ? 10 : 96, double.NaN, o is 2 ? 5700 : 60, Open: o == 5)).ToList();
        var missing = One("incomplete-orbit", Empty with { Arrivals = arrivals });
        Assert.Equal((2, 100.0, FlagSeverity.Warning, "Nothing of orbit 2 has arrived: 96 exposures are missing."), (missing.FirstOrbit, missing.Value, missing.Severity, missing.Text));
        var gap = One("data-gap", Empty with { Arrivals = arrivals });
        Assert.Equal("No packet for 95 min at orbit 2; limit 30 min.", gap.Text);
    }

    [Fact]
    public void Lateness_is_judged_for_live_missions_only()
    {
        Assert.Empty(RuleReplay.Run(FlagScene.Rule("late-data"), Empty with { Arrivals = [new(1, 96, 96, double.NaN, 60)] }));
        Assert.Contains("up to 10 h after", One("late-data", Empty with { Arrivals = [new(1, 96, 96, 36000, 60)] }).Text, StringComparison.Ordinal);
    }

    [Fact]
    public void Missing_lamps_are_flagged_by_view_and_line()
    {
        var lamp = One("lamp-missing", Empty with { Lamps = [new(3, "F", "red", 12, 2), new(3, "A", "red", 12, 11)] });
        Assert.Equal(("F", "red", FlagSeverity.Warning), (lamp.Thing.View, lamp.Thing.Line, lamp.Severity));
        Assert.Equal("2 of 12 lamp exposures of view F, red, arrived on orbit 3; limit 75 % missing.", lamp.Text);
    }

    [Fact]
    public void Clock_jumps_conflicts_and_quarantine_are_gathered_per_orbit()
    {
        static RuleInputs With(params IntakeEvent[] events) => Empty with { Events = events };
        var at = FlagScene.Middle(4);
        var jump = One("clock-jump", With(new IntakeEvent(IntakeEventKind.ClockJump, at, "APID 101", 1, -3600, ""), new(IntakeEventKind.ClockJump, at.AddSeconds(5), "APID 101", 1, 0.5, "")));
        Assert.StartsWith("The clock of APID 101 jumped back by 60 min at ", jump.Text, StringComparison.Ordinal);
        var bad = One("undecodable-data", With(new IntakeEvent(IntakeEventKind.Undecodable, at, "packets", 3, double.NaN, "checksum"), new(IntakeEventKind.Undecodable, at.AddSeconds(9), "packets", 1, double.NaN, "no container")));
        Assert.Equal("4 pieces of packets on orbit 4 could not be decoded and wait in quarantine (3 × checksum, 1 × no container).", bad.Text);
        Assert.Equal((4.0, FlagSeverity.Notice), (bad.Value, bad.Severity));
        Assert.Equal(2, One("data-conflict", With(new IntakeEvent(IntakeEventKind.Conflict, at, "APID 101", 2, double.NaN, ""))).Value);
    }

    [Fact]
    public void Coverage_and_stale_coefficients()
    {
        var gap = One("coverage-missing", Empty with { CoverageGaps = [new("orbit", FlagScene.Span(7).Start, FlagScene.Span(8).End)] });
        Assert.Equal((7, 8, "orbit coverage", 11520.0), (gap.FirstOrbit, gap.LastOrbit, gap.Thing.Subject, gap.Value));
        var old = One("stale-coefficients", Empty with { Coefficients = [.. Enumerable.Range(0, 41).Select(o => new CoefficientUse(o, "ground 1", 58 + o / 15.0))] });
        Assert.Equal((31, 40, "ground 1"), (old.FirstOrbit, old.LastOrbit, old.Evidence.CoefficientSet));
    }

    [Fact]
    public void An_image_step_is_flagged_when_large_and_sure()
    {
        var at = FlagScene.Middle(2);
        var step = One("image-shift-step", Empty with { Steps = [new("F", at, -0.3, 0.001), new("A", at, 0.3, 0.1), new("A", at, 0.01, 0.0001)] });
        Assert.Equal(("F", -0.3, -0.02), (step.Thing.View, step.Value, step.Limit));
    }

    [Fact]
    public void A_spike_storm_is_told_from_the_south_atlantic()
    {
        var random = new Random(3);
        // Every third orbit crosses the region with 40 times as many spikes; on orbit 30 they are many everywhere.
        var spikes = Enumerable.Range(0, 40).SelectMany(o => Enumerable.Range(0, 60).Select(i =>
        {
            var inside = o % 3 == 0 && i is > 20 and < 30;
            return new SpikeCount(FlagScene.Span(o).Start.AddSeconds(i * 90), "F", (int)(30 * (inside ? 4 : o == 30 ? 2 : 0.1) * (0.5 + random.NextDouble())), 30, inside ? -25 : 40, inside ? 320 : 100);
        })).ToList();
        var storm = One("spike-storm", Empty with { Spikes = spikes });
        Assert.Equal(30, storm.FirstOrbit);
        Assert.Contains("outside the South Atlantic region", storm.Text, StringComparison.Ordinal);
        // Behind hot samples that are masked on every exposure the same storm is far from a multiple of what is usual.
        var aged = spikes.Select(s => s with { Spikes = s.Spikes + 60 }).ToList();
        Assert.Equal(30, One("spike-storm", Empty with { Spikes = aged }).FirstOrbit);
        // Hot samples that come, a third of a spike a row at a time over days, are none.
        var ageing = spikes.Where(s => s.LatitudeDeg > 0).Select((s, i) => s with { Spikes = 3 + 4 * (i / 600) }).ToList();
        Assert.Empty(RuleReplay.Run(FlagScene.Rule("spike-storm"), Empty with { Spikes = ageing }));
    }
}
