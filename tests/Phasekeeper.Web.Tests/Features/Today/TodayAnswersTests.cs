using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Today;

namespace Phasekeeper.Web.Tests.Features.Today;

public sealed class TodayAnswersTests
{
    private static readonly Instant Start = Instant.FromUtc(2031, 3, 1);

    [Fact]
    public void Complete_orbits_without_flags_are_answered_with_usable_and_normal()
    {
        var answers = TodayAnswers.Of([Orbit(10), Orbit(11)], []);
        Assert.Equal(["usable", "normal", "normal"], answers.Select(answer => answer.State));
        Assert.Equal("2 of 2 orbits", answers[0].Headline);
    }

    [Fact]
    public void An_orbit_that_the_rules_call_incomplete_is_named()
    {
        var answer = TodayAnswers.Of([Orbit(10), Orbit(11, received: 70, verdict: "incomplete")], [])[0];
        Assert.Equal(("incomplete", "1 of 2 orbits"), (answer.State, answer.Headline));
        Assert.Contains("Incomplete: 11.", answer.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void A_single_missing_row_is_a_remark()
    {
        var answer = TodayAnswers.Of([Orbit(10), Orbit(11, received: 99)], [])[0];
        Assert.Equal(("remarks", "2 of 2 orbits", "Single rows missing of 11."), (answer.State, answer.Headline, answer.Detail));
    }

    [Fact]
    public void An_orbit_of_which_nothing_arrived_shows_as_a_hole_in_the_numbers()
    {
        var answer = TodayAnswers.Of([Orbit(10), Orbit(13)], [])[0];
        Assert.Equal("2 of 4 orbits", answer.Headline);
        Assert.Contains("Nothing at all of 2.", answer.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void An_orbit_that_still_runs_or_waits_for_the_rules_is_not_called_incomplete()
    {
        var answers = TodayAnswers.Of([Orbit(10), Orbit(11, received: 90, assessed: false), Orbit(12, received: 40, running: true)], []);
        Assert.Equal(("provisional", "3 of 3 orbits"), (answers[0].State, answers[0].Headline));
        Assert.Contains("1 being assessed", answers[0].Detail, StringComparison.Ordinal);
        Assert.Equal(("provisional", "No flag so far"), (answers[1].State, answers[1].Headline));
    }

    [Fact]
    public void What_people_have_settled_asks_nobody_any_more_and_what_they_have_in_hand_is_counted()
    {
        var answer = TodayAnswers.Of([Orbit(10)], [Flag("critical", null) with { State = "settled" }, Flag("warning", null) with { State = "taken" }])[1];
        Assert.Equal(("warning", "1 warning"), (answer.State, answer.Headline));
        Assert.Equal("1 in hand. 1 more settled.", answer.Detail);
        var rest = TodayAnswers.Of([Orbit(10)], [Flag("critical", null) with { State = "settled" }])[1];
        Assert.Equal(("remarks", "No open flag"), (rest.State, rest.Headline));
    }

    [Fact]
    public void The_worst_flag_that_no_activity_explains_decides_about_health()
    {
        var answer = TodayAnswers.Of([Orbit(10)], [Flag("critical", "lamp test"), Flag("warning", null), Flag("notice", null)])[1];
        Assert.Equal("warning", answer.State);
        Assert.Equal("1 warning, 1 notice", answer.Headline);
        Assert.Contains("1 more explained", answer.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void The_correction_is_told_by_its_typical_and_its_worst_orbit()
    {
        var answer = TodayAnswers.Of([Orbit(10, residualMs: 1), Orbit(11, residualMs: 2), Orbit(12, residualMs: 9, residualState: "critical")], [])[2];
        Assert.Equal(("critical", "2.0 m/s typical"), (answer.State, answer.Headline));
        Assert.Equal("Worst 9.0 m/s on orbit 12.", answer.Detail);
    }

    [Fact]
    public void Without_lamp_exposures_nothing_is_claimed()
    {
        var answer = TodayAnswers.Of([Orbit(10, residualMs: double.NaN)], [])[2];
        Assert.Equal("provisional", answer.State);
    }

    [Fact]
    public void A_residual_that_the_rules_have_flagged_is_not_called_normal_while_it_is_provisional()
    {
        var answer = TodayAnswers.Of([Orbit(10), Orbit(11, residualMs: 24, residualState: "provisional")], [Flag("warning", null, "thermal-residual-wind")])[2];
        Assert.Equal(("warning", "Worst 24.0 m/s on orbit 11. 1 flag."), (answer.State, answer.Detail));
    }

    [Fact]
    public void A_verdict_stays_while_rules_look_again()
    {
        var first = Orbit(10, assessed: false);
        Assert.Equal("provisional", first.ShownVerdict);
        Assert.Equal("usable", (first with { IsAssessed = true }).ShownVerdict);
        Assert.Contains("1 being assessed", TodayAnswers.Of([first with { IsAssessed = true }], [])[0].Detail, StringComparison.Ordinal);
    }

    private static TodayOrbit Orbit(int number, int received = 100, double residualMs = 1, string residualState = "normal", bool assessed = true, bool running = false, string verdict = "usable") => new(
        new OrbitRow { Orbit = number, Start = Start.AddSeconds(number * 5760), End = Start.AddSeconds((number + 1) * 5760), ExpectedRows = 100, ReceivedRows = received, Verdict = verdict },
        assessed, !assessed, running, residualMs, residualState, 1, "normal", null, 0);

    private static FlagRow Flag(string severity, string? explainedBy, string subject = "s") => new()
    {
        Id = severity,
        Rule = "r",
        RuleVersion = "1",
        Subject = subject,
        Severity = severity,
        State = "raised",
        From = Start,
        To = Start,
        Unit = "m/s",
        Message = "m",
        Body = "{}",
        ExplainedBy = explainedBy,
        Raised = Start,
        Changed = Start,
    };
}
