using System.Globalization;
using AngleSharp.Dom;
using Bunit;
using Phasekeeper.Core.Flags;
using Phasekeeper.Pipeline.Thresholds;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Thresholds;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Thresholds;

/// <summary>The pages Rules, Rule and Rule proposal, rendered on a mission. The person at the screen is "someone", a calibration lead.</summary>
[Collection(MissionHostGroup.Name)]
public sealed class RulePagesTests : MissionPageTests
{
    private static readonly Actor Ada = new("ada", Roles.Analyst, "10.0.0.2"), Lea = new("lea", Roles.CalibrationLead, "10.0.0.3");
    private readonly Rehearsals rehearsals;
    private readonly RuleDesk desk;

    public RulePagesTests(MissionHost host)
        : base(host)
    {
        rehearsals = Share<Rehearsals>();
        desk = Share<RuleDesk>();
        Share<KnownEvents>();
        SetRendererInfo(new("Server", true));
    }

    private RuleDeclaration Rule(string id, params (string Name, double Value)[] values)
    {
        var rule = Host.Engine.Mission!.Rules.Find(id)!;
        var parameters = new SortedDictionary<string, double>(rule.Parameters.ToDictionary(), StringComparer.Ordinal);
        foreach (var (name, value) in values) parameters[name] = value;
        return rule with { Parameters = parameters };
    }

    private async Task<Rehearsal> RunAsync(RuleDeclaration rule)
    {
        var run = await rehearsals.StartAsync(rule, new(), Ada);
        await run.Ended;
        return run;
    }

    private async Task<long> ProposeAsync(RuleDeclaration rule, Actor by, string why) => await desk.ProposeAsync((await RunAsync(rule)).Id, why, by);

    private IRenderedComponent<RuleProposalPage> Proposal(long id) => Render<RuleProposalPage>(p => p.Add(x => x.Id, id.ToString(CultureInfo.InvariantCulture)));

    private static string Decision(IRenderedComponent<RuleProposalPage> page) => page.Find("section[aria-labelledby=decision-title]").QuerySelector("p strong")?.ParentElement?.TextContent ?? "";

    private static IElement Button(IRenderedComponent<Microsoft.AspNetCore.Components.IComponent> page, string text) => page.FindAll("button").First(b => b.TextContent.Trim() == text);

    [Fact]
    public void A_rule_or_proposal_that_is_not_there_is_said_to_be_none()
    {
        Assert.Contains("There is no such rule", Render<RulePage>(p => p.Add(x => x.Id, "no-such")).Markup, StringComparison.Ordinal);
        foreach (var id in new[] { "999999", "x", "-1" })
            Assert.Contains("There is no such proposal", Render<RuleProposalPage>(p => p.Add(x => x.Id, id)).Markup, StringComparison.Ordinal);
    }

    [Fact]
    public void The_page_of_every_rule_in_force_shows_each_of_its_parameters()
    {
        foreach (var rule in Host.Engine.Mission!.Rules.Rules)
        {
            var page = Render<RulePage>(p => p.Add(x => x.Id, rule.Id));
            foreach (var parameter in RuleCatalog.Of(rule.Kind).Parameters) Assert.Single(page.FindAll($"#p-{parameter.Name}"));
            // Nothing was rehearsed yet.
            Assert.Empty(page.FindAll(".rehearsal"));
            Assert.DoesNotContain(page.FindAll("button"), b => b.TextContent.Contains("Propose", StringComparison.Ordinal));
        }
    }

    [Fact]
    public async Task What_cannot_be_is_told_and_nothing_is_rehearsed()
    {
        var page = Render<RulePage>(p => p.Add(x => x.Id, "data-gap"));
        await page.InvokeAsync(() => page.Find("#p-noticeLimit").Change("many"));
        await page.InvokeAsync(() => Button(page, "Rehearse").Click());
        page.WaitForAssertion(() => Assert.Contains("many", page.Find("[role=alert]").TextContent, StringComparison.Ordinal));
        Assert.Equal("many", page.Find("#p-noticeLimit").GetAttribute("value"));
        await page.InvokeAsync(() => page.Find("#p-noticeLimit").Change("600"));
        await page.InvokeAsync(() => page.Find("select").Change("range"));
        await page.InvokeAsync(() => page.FindAll("input[placeholder^='2031']")[0].Change("yesterday"));
        await page.InvokeAsync(() => Button(page, "Rehearse").Click());
        page.WaitForAssertion(() => Assert.Contains("Found the time 'yesterday'", page.Find("[role=alert]").TextContent, StringComparison.Ordinal));
        Assert.Empty(page.FindAll(".rehearsal"));
    }

    [Fact]
    public async Task A_rehearsal_on_the_page_runs_shows_its_figures_and_is_proposed()
    {
        var page = Render<RulePage>(p => p.Add(x => x.Id, "late-data"));
        await page.InvokeAsync(() => page.Find("select").Change("all"));
        // As it is in force: there is nothing to propose.
        await page.InvokeAsync(() => Button(page, "Rehearse").Click());
        page.WaitForAssertion(() => Assert.NotEmpty(page.FindAll(".rehearsal")));
        Assert.Contains("rehearsed as it is in force", page.Markup, StringComparison.Ordinal);
        Assert.DoesNotContain(page.FindAll("button"), b => b.TextContent.Contains("Propose", StringComparison.Ordinal));
        var parameter = RuleCatalog.Of("late-data").Parameters[0];
        var other = Host.Engine.Mission!.Rules.Find("late-data")![parameter.Name] + 1;
        await page.InvokeAsync(() => page.Find($"#p-{parameter.Name}").Change(other.ToString(CultureInfo.InvariantCulture)));
        await page.InvokeAsync(() => Button(page, "Rehearse").Click());
        page.WaitForAssertion(() => Assert.Contains(page.FindAll("button"), b => b.TextContent.Contains("Propose it as rehearsed", StringComparison.Ordinal)));
        Assert.Equal(["Would raise, as rehearsed", "Would raise, in force", "Did raise"], page.FindAll(".rehearsal th[scope=row]").Select(h => h.TextContent));
        // Without a reason it is not proposed.
        await page.InvokeAsync(() => Button(page, "Propose it as rehearsed").Click());
        page.WaitForAssertion(() => Assert.Contains("reason", page.Find("[role=alert]").TextContent, StringComparison.Ordinal));
        await page.InvokeAsync(() => page.FindAll("textarea")[^1].Change("a minute is no matter"));
        await page.InvokeAsync(() => Button(page, "Propose it as rehearsed").Click());
        page.WaitForAssertion(() => Assert.Contains("/rules/proposals/", Navigation.Uri, StringComparison.Ordinal));
        var id = long.Parse(new Uri(Navigation.Uri).Segments[^1], CultureInfo.InvariantCulture);

        // Its proposer cannot approve it, but take it back.
        var own = Proposal(id);
        Assert.Contains("You proposed this", own.Markup, StringComparison.Ordinal);
        Assert.DoesNotContain(own.FindAll("button"), b => b.TextContent is "Approve" or "Decline");
        await own.InvokeAsync(() => own.Find("textarea").Change("a slip"));
        await own.InvokeAsync(() => Button(own, "Withdraw").Click());
        own.WaitForAssertion(() => Assert.Contains("a slip", Decision(own), StringComparison.Ordinal));
        Assert.Equal(RuleWords.Withdrawn, Host.Stores.Rules.Get(id)!.State);
        Assert.Empty(own.FindAll("textarea"));
    }

    [Fact]
    public async Task A_declined_proposal_keeps_its_rehearsal_and_who_declined_it()
    {
        var id = await ProposeAsync(Rule("data-gap", ("noticeLimit", 700)), Ada, "short gaps again");
        var list = Render<RulesPage>();
        Assert.Contains("short gaps again", list.Markup, StringComparison.Ordinal);
        var page = Proposal(id);
        Assert.Equal(["300", "700"], page.FindAll("td").Select(t => t.TextContent.Trim()).Where(t => t is "300" or "700"));
        // A decision without a reason is refused, with words.
        await page.InvokeAsync(() => Button(page, "Decline").Click());
        page.WaitForAssertion(() => Assert.Contains("reason", page.Find("[role=alert]").TextContent, StringComparison.Ordinal));
        await page.InvokeAsync(() => page.Find("textarea").Change("gaps matter here"));
        await page.InvokeAsync(() => Button(page, "Decline").Click());
        page.WaitForAssertion(() => Assert.Contains("gaps matter here", Decision(page), StringComparison.Ordinal));
        Assert.Equal(RuleWords.Declined, Host.Stores.Rules.Get(id)!.State);
        Assert.Contains("declined by someone", Decision(page), StringComparison.OrdinalIgnoreCase);
        Assert.NotEmpty(page.FindAll(".rehearsal"));
        Assert.DoesNotContain(page.FindAll("button"), b => b.TextContent is "Approve" or "Decline" or "Withdraw");
    }

    [Fact]
    public async Task A_proposal_that_another_version_came_before_says_so_and_one_decided_by_another_shows_that()
    {
        var (first, second) = (await ProposeAsync(Rule("stale-coefficients", ("quietOrbits", 3)), Ada, "first"), await ProposeAsync(Rule("stale-coefficients", ("quietOrbits", 4)), Ada, "second"));
        var (waiting, open) = (Proposal(second), Proposal(first));
        Assert.Contains(open.FindAll("button"), b => b.TextContent.Trim() == "Approve");
        var version = await desk.ApproveAsync(first, new() { Reason = "agreed elsewhere", InPlaceOf = Host.Stores.Rules.Versions()[^1].Id }, Lea);
        // Both pages follow without being asked.
        open.WaitForAssertion(() => Assert.Contains("agreed elsewhere", open.Markup, StringComparison.Ordinal));
        waiting.WaitForAssertion(() => Assert.Contains($"Version {version} of the rules is in force by now", waiting.Markup, StringComparison.Ordinal));
        await waiting.InvokeAsync(() => waiting.Find("textarea").Change("seen, and still"));
        await waiting.InvokeAsync(() => Button(waiting, "Approve").Click());
        waiting.WaitForAssertion(() => Assert.Contains("seen, and still", Decision(waiting), StringComparison.Ordinal));
        var page = Render<RulesPage>();
        page.WaitForAssertion(() => Assert.Contains("seen, and still", page.Markup, StringComparison.Ordinal));
        await Host.WaitUntilIdle();
    }

    [Fact]
    public async Task Running_failed_and_ended_rehearsals_are_told_apart()
    {
        var page = Render<RulePage>(p => p.Add(x => x.Id, "data-gap"));
        await page.InvokeAsync(() => page.Find("select").Change("all"));
        await page.InvokeAsync(() => Button(page, "Rehearse").Click());
        var run = Newest();
        await run.Ended;
        // The page holds the run; what becomes of it is shown with the next change.
        await ShowAsync(page, run, share: 0.4, report: null);
        Assert.Contains("Rehearsing, 40 %", page.Find("[role=status]").TextContent, StringComparison.Ordinal);
        Assert.True(Button(page, "Rehearse").HasAttribute("disabled"));
        Assert.Single(page.FindAll("button"), b => b.TextContent == "End it");
        await ShowAsync(page, run, 0.4, null, failure: "The rule would have raised more than 20000 flags.");
        Assert.Contains("more than 20000 flags", page.Find("[role=alert]").TextContent, StringComparison.Ordinal);
        Assert.False(Button(page, "Rehearse").HasAttribute("disabled"));
        await ShowAsync(page, run, 0.4, null, cancelled: true);
        Assert.Contains("The rehearsal was ended", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public void A_report_lays_events_and_flags_beside_each_other()
    {
        ReportedFlag Flag(string id, int first, int last, string truth) => new(id, "packets", "warning", first, last, "", "", 2400, 1800, "s", truth);
        ReportedCounts counts = new(2, 1, 1, 0, 1, 1, 4.5, 0);
        var report = new RehearsalReport
        {
            Rule = "data-gap",
            Proposed = "2-x",
            InForce = "1-x",
            Differences = [],
            FirstOrbit = 1,
            LastOrbit = 90,
            From = "",
            To = "",
            ExpectedHow = "a fact",
            WouldCounts = counts,
            InForceCounts = counts,
            DidCounts = counts,
            Would = [Flag("w1", 10, 12, "true"), Flag("w2", 40, 40, "false")],
            Did = [Flag("d1", 11, 11, "true"), Flag("d2", 12, 13, "true"), Flag("d3", 70, 71, "unknown")],
            Events =
            [
                new("noted-1", "the station was down", true, 10, 12, "", "", true, true, false, 60), new("f1", "instrument", true, 20, 20, "", "", false, true, true, null),
                new("f2", "rule too tight", false, 40, 40, "", "", true, false, true, null),
            ],
        };
        var panel = Render<RehearsalPanel>(p => p.Add(x => x.Report, report).Add(x => x.PlotUrl, "/api/v1/plots/rules/rehearsals/1"));
        string[] Rows(int table) => [.. panel.FindAll("table")[table].QuerySelectorAll("tbody tr").Select(r => string.Join(" | ", r.Children.Select(c => string.Join(" ", c.TextContent.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries)))))];
        Assert.Equal(["the station was down | 10–12 | found | found | missed | 60 s", "instrument | 20 | missed | found | found | –", "rule too tight (a false alarm) | 40 | raised | quiet | raised | –"], Rows(1));
        Assert.Equal(
        [
            "packets | warning, orbit 10–12 | 2400 s | 1800 s | warning, orbit 11warning, orbit 12–13 | true",
            "packets | warning, orbit 40 | 2400 s | 1800 s | no flag | false",
            "packets | no flag | 2400 s | 1800 s | warning, orbit 70–71 | unknown",
        ], Rows(2));
        // Of a list that was cut nothing is said where it is not known.
        var cut = RehearsalPairs.Of(report with { DidCounts = counts with { Flags = 900 }, Did = [.. report.Did.Take(2)] });
        Assert.DoesNotContain(cut, p => p.Would?.Id == "w2");
    }

    private Rehearsal Newest()
    {
        long id = 1;
        while (rehearsals.Find(id + 1) is not null || rehearsals.Find(id) is null) id++;
        return rehearsals.Find(id)!;
    }

    private async Task ShowAsync(IRenderedComponent<RulePage> page, Rehearsal run, double share, RehearsalReport? report, string? failure = null, bool cancelled = false)
    {
        void Set(string name, object? value) => typeof(Rehearsal).GetProperty(name)!.SetValue(run, value);
        Set(nameof(Rehearsal.Share), share);
        Set(nameof(Rehearsal.Report), report);
        Set(nameof(Rehearsal.Failure), failure);
        Set(nameof(Rehearsal.Cancelled), cancelled);
        await page.InvokeAsync(() => page.Render());
    }
}
