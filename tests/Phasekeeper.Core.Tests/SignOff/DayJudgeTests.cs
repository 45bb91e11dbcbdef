using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.SignOff;

namespace Phasekeeper.Core.Tests.SignOff;

public sealed class DayJudgeTests
{
    private static readonly DateOnly Date = new(2031, 5, 9);

    private static DayOrbit Orbit(int number, int received = 1000, double gapS = 60, bool provisional = false, bool held = false) => new(number, 100, received / 10, 1000, received, gapS, provisional, held);

    private static DayFlag Flag(FlagSeverity severity, LifeState life = LifeState.Raised, bool activity = false, string id = "f") => new(id, severity, life, activity, "Lamp lost.");

    private static DayFacts Quiet() => new(Date, [.. Enumerable.Range(10, 15).Select(n => Orbit(n))], [], [new("thermal-residual-wind", "Thermal residual as wind", "m/s", 1.2, 12, 15, 0, 0)], [],
        [new("green", 1000, 800, 5.0)], [new("green", 27, 0.8, 5.0)], [], []);

    private static string[] Codes(DayFacts facts) => [.. DayJudge.Of(facts).Reasons.Select(r => r.Code)];

    [Fact]
    public void A_quiet_day_is_usable_and_its_numbers_are_told()
    {
        var proposal = DayJudge.Of(Quiet());
        Assert.Equal((DayVerdict.Usable, 0), (proposal.Verdict, proposal.Reasons.Count));
        Assert.Contains(proposal.Notes, n => n.StartsWith("100 % of what the cadence promises", StringComparison.Ordinal));
        Assert.Contains(proposal.Notes, n => n.Contains("worst 1.2 m/s at orbit 12", StringComparison.Ordinal));
        Assert.Contains(proposal.Notes, n => n.Contains("80 % of 1000 winds good, median 1σ 5.0 m/s", StringComparison.Ordinal));
    }

    // 15 orbits of 1000 rows: the limits are 95 % and 80 % of 15,000.
    [Theory]
    [InlineData(14_250, DayVerdict.Usable)]
    [InlineData(14_249, DayVerdict.Remarks)]
    [InlineData(12_000, DayVerdict.Remarks)]
    [InlineData(11_999, DayVerdict.Held)]
    public void What_arrived_decides_at_its_limits(int rows, DayVerdict expected)
    {
        int[] each = [.. Enumerable.Repeat(rows / 15, 14), rows - 14 * (rows / 15)];
        Assert.Equal(rows, each.Sum());
        Assert.Equal(expected, DayJudge.Of(Quiet() with { Orbits = [.. each.Select((r, i) => Orbit(10 + i, r))] }).Verdict);
    }

    [Fact]
    public void Orbits_of_which_nothing_arrived_count_as_much_as_the_others()
    {
        // 11 of 15 orbits: 73 %.
        var facts = Quiet() with { Orbits = [.. Enumerable.Range(10, 11).Select(n => Orbit(n))], Absent = [21, 22, 23, 24] };
        Assert.Equal(DayVerdict.Held, DayJudge.Of(facts).Verdict);
        Assert.Equal(["completeness", "absent-orbits"], Codes(facts));
        Assert.Equal(11.0 / 15, DayJudge.Of(facts).Reasons[0].Value!.Value, 12);
    }

    [Theory]
    [InlineData(FlagSeverity.Critical, LifeState.Raised, false, DayVerdict.Held)]
    [InlineData(FlagSeverity.Critical, LifeState.Taken, false, DayVerdict.Held)]
    [InlineData(FlagSeverity.Critical, LifeState.Reopened, false, DayVerdict.Held)]
    [InlineData(FlagSeverity.Critical, LifeState.Explained, false, DayVerdict.Remarks)]
    [InlineData(FlagSeverity.Critical, LifeState.Settled, false, DayVerdict.Remarks)]
    [InlineData(FlagSeverity.Critical, LifeState.Raised, true, DayVerdict.Remarks)]
    [InlineData(FlagSeverity.Warning, LifeState.Taken, false, DayVerdict.Remarks)]
    [InlineData(FlagSeverity.Warning, LifeState.Settled, false, DayVerdict.Usable)]
    [InlineData(FlagSeverity.Warning, LifeState.Raised, true, DayVerdict.Usable)]
    [InlineData(FlagSeverity.Notice, LifeState.Raised, false, DayVerdict.Usable)]
    public void Flags_count_by_severity_and_by_how_far_people_are(FlagSeverity severity, LifeState life, bool activity, DayVerdict expected) =>
        Assert.Equal(expected, DayJudge.Of(Quiet() with { Flags = [Flag(severity, life, activity)] }).Verdict);

    [Theory]
    [InlineData(700, 5.0, DayVerdict.Usable)]
    [InlineData(699, 5.0, DayVerdict.Remarks)]
    [InlineData(499, 5.0, DayVerdict.Held)]
    [InlineData(800, 6.25, DayVerdict.Usable)]
    [InlineData(800, 6.3, DayVerdict.Remarks)]
    [InlineData(800, 10.1, DayVerdict.Held)]
    public void Winds_are_judged_against_what_is_usual(int good, double sigmaMs, DayVerdict expected) =>
        Assert.Equal(expected, DayJudge.Of(Quiet() with { Winds = [new("green", 1000, good, sigmaMs)], Usual = [new("green", 27, 0.8 - 1e-12, 5.0)] }).Verdict);

    [Fact]
    public void Without_enough_days_nothing_is_called_usual()
    {
        var facts = Quiet() with { Winds = [new("green", 1000, 10, 50)], Usual = [new("green", 4, 0.8, 5)] };
        Assert.Equal(DayVerdict.Usable, DayJudge.Of(facts).Verdict);
        Assert.Contains(DayJudge.Of(facts).Notes, n => n.Contains("with 4 days", StringComparison.Ordinal));
    }

    [Fact]
    public void Residuals_gaps_processing_and_holds_each_have_their_reason()
    {
        Assert.Equal(["residual:thermal-residual-wind"], Codes(Quiet() with { Residuals = [Quiet().Residuals[0] with { WarningOrbits = 1 }] }));
        Assert.Equal(DayVerdict.Held, DayJudge.Of(Quiet() with { Residuals = [Quiet().Residuals[0] with { CriticalOrbits = 4 }] }).Verdict);
        Assert.Equal(DayVerdict.Remarks, DayJudge.Of(Quiet() with { Residuals = [Quiet().Residuals[0] with { CriticalOrbits = 3 }] }).Verdict);
        Assert.Equal(["gap"], Codes(Quiet() with { Orbits = [.. Quiet().Orbits.Skip(1), Orbit(10, gapS: SignOffLimits.LongestGapS)] }));
        Assert.Equal(["processing", "former-set"], Codes(Quiet() with { Waiting = [12], Former = [13] }));
        Assert.Equal(["orbits-held", "provisional"], Codes(Quiet() with { Orbits = [.. Quiet().Orbits.Skip(2), Orbit(10, held: true), Orbit(11, provisional: true)] }));
        Assert.Equal(["no-data", "no-winds:green"], Codes(Quiet() with { Orbits = [], Winds = [new("green", 0, 0, double.NaN)] }));
    }

    [Fact]
    public void The_order_in_which_facts_are_listed_changes_nothing()
    {
        var facts = Quiet() with
        {
            Flags = [Flag(FlagSeverity.Warning, id: "b"), Flag(FlagSeverity.Critical, id: "a"), Flag(FlagSeverity.Warning, id: "c")],
            Winds = [new("red", 10, 5, 5), new("green", 1000, 300, 5)],
            Usual = [new("red", 27, 0.9, 5), new("green", 27, 0.8, 5)],
            Waiting = [14, 12],
        };
        var turned = facts with { Orbits = [.. facts.Orbits.Reverse()], Flags = [.. facts.Flags.Reverse()], Winds = [.. facts.Winds.Reverse()], Waiting = [12, 14] };
        Assert.Equal(DayJudge.Of(facts).Reasons, DayJudge.Of(turned).Reasons);
        Assert.Equal(DayJudge.Of(facts).Notes, DayJudge.Of(turned).Notes);
    }
}
