using System.Text.Json.Nodes;
using Bunit;
using Microsoft.AspNetCore.Components.Forms;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Coefficients;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Coefficients;

/// <summary>What people do on the page of coefficients: hold and resume, import, change by hand, go back.</summary>
public sealed class CoefficientsPageTests(WebHost host) : CoefficientPages(host), IClassFixture<WebHost>
{
    [Fact]
    public async Task A_proposal_that_waits_leads_to_its_page()
    {
        var id = await ProposeAsync("waits", 451);
        var page = Show();
        var row = page.FindAll("tr").First(r => r.InnerHtml.Contains($"/coefficients/proposals/{id}", StringComparison.Ordinal));
        foreach (var words in new[] { "waits", "ada", "why waits", "none yet" }) Assert.Contains(words, row.TextContent, StringComparison.Ordinal);
        Assert.Empty(page.FindAll("textarea"));
    }

    [Fact]
    public async Task A_number_is_changed_by_hand_and_the_proposal_opens()
    {
        Be(Ada);
        var page = Show();
        await page.InvokeAsync(() => Label(page, "Number").Change("optics.thermal.lagS"));
        await page.InvokeAsync(() => Label(page, "New value").Change("lots"));
        await Click(page, "Add");
        Assert.Contains("Found 'lots' as the new value of thermal lag", page.Find(".hand-refusal").TextContent, StringComparison.Ordinal);
        await page.InvokeAsync(() => Label(page, "New value").Change("452.5"));
        await Click(page, "Add");
        Assert.Contains("→ 452.5 s", page.Find(".hand-list").TextContent, StringComparison.Ordinal);
        await page.InvokeAsync(() => Label(page, "Name of the set").Change("by hand"));
        await page.InvokeAsync(() => page.FindAll(".hand-form input")[2].Change("the lamp lags more"));
        await Click(page, "Propose");
        page.WaitForAssertion(() => Assert.Contains("Found no orbit from which the set is to be valid", page.Find(".hand-refusal").TextContent, StringComparison.Ordinal));
        await page.InvokeAsync(() => Label(page, "Valid from orbit").Change("4700"));
        await Click(page, "Propose");
        page.WaitForAssertion(() => Assert.Contains("/coefficients/proposals/", Navigation.Uri, StringComparison.Ordinal));
        var set = Host.Stores.Coefficients.All().Single(s => s.Name == "by hand");
        Assert.Equal(("ada", "the lamp lags more", CoefficientSource.ByHand, CoefficientDecision.Proposed), (set.ProposedBy, set.Reason, set.Source, set.State));
        Assert.Equal(Host.Services.GetRequiredService<Pipeline.Engine.PipelineEngine>().Mission!.Orbits.Of(4700)!.Value.Start, set.ValidFrom);
        Assert.Contains("452.5", set.Json, StringComparison.Ordinal);
    }

    [Fact]
    public void Places_of_a_list_are_changed_one_by_one()
    {
        var set = CoefficientPackage.Read(Host.Stores.Coefficients.Get(1)!.Json, Host.Services.GetRequiredService<MissionFolder>().Profile.Instrument!, "1");
        var number = Core.Coefficients.CoefficientNumbers.Of(set).First(n => n is { Number: "optics.distortionRad", Index: "1,0" });
        var proposal = ProposalReader.Read(HandChanges.Body(1, "list", Core.Time.Instant.FromUtc(2031, 6, 1), "why", [new(number, 0.125)]), null, Host.Services.GetRequiredService<MissionFolder>(), Host.Stores.Coefficients);
        var difference = Assert.Single(Core.Coefficients.CoefficientDifferences.Between(set, proposal.Set));
        Assert.Equal(("optics.distortionRad", number.View, number.Line, "1,0", 0.125), (difference.Number, difference.View, difference.Line, difference.Index, difference.After));
    }

    [Fact]
    public async Task A_file_is_brought_as_a_proposal_and_mistakes_are_told()
    {
        Be(Ada);
        var page = Show();
        page.FindComponent<InputFile>().UploadFiles(InputFileContent.CreateFromText("{}", "a.txt"));
        page.WaitForAssertion(() => Assert.Contains("Found 0 JSON files", page.Find(".import-said").TextContent, StringComparison.Ordinal));
        var body = JsonNode.Parse(Host.Stores.Coefficients.Get(1)!.Json)!.AsObject();
        body["coefficients"]!["name"] = "from a file";
        page.FindComponent<InputFile>().UploadFiles(InputFileContent.CreateFromText(body.ToJsonString(), "coefficients.json"));
        page.WaitForAssertion(() => Assert.Contains("$.reason", page.Find(".import-said").TextContent, StringComparison.Ordinal));
        await page.InvokeAsync(() => page.Find(".import-form input").Change("from the laboratory"));
        page.FindComponent<InputFile>().UploadFiles(InputFileContent.CreateFromText(body.ToJsonString(), "coefficients.json"));
        page.WaitForAssertion(() => Assert.Contains("'from a file'. It waits for a calibration lead.", page.Find(".import-said").TextContent, StringComparison.Ordinal));
        Assert.Equal("from the laboratory", Host.Stores.Coefficients.All().Single(s => s.Name == "from a file").Reason);
    }

    [Fact]
    public async Task Reprocessing_is_held_and_goes_on_by_the_button_of_who_may()
    {
        var changed = 0;
        var open = new ReprocessingItem(3, 1, null, null, 10, 20, 11, 1, 0, 10, 0, null, null, "waiting", Core.Time.Instant.FromUtc(2031, 5, 9), null, null, null);
        IRenderedComponent<ReprocessingPanel> Panel() => Render<ReprocessingPanel>(p => p.Add(x => x.Items, [open]).Add(x => x.Sets, []).Add(x => x.OldDays, []).Add(x => x.Paused, false).Add(x => x.OnChanged, () => changed++));
        Be(Ada);
        Assert.Empty(Panel().FindAll("button"));
        Be(Lea);
        var panel = Panel();
        await panel.InvokeAsync(() => panel.Find("button").Click());
        panel.WaitForAssertion(() => Assert.True(Host.Stores.Reprocessing.IsPaused));
        panel.Render(p => p.Add(x => x.Paused, true));
        Assert.Equal("Go on", panel.Find("button").TextContent);
        await panel.InvokeAsync(() => panel.Find("button").Click());
        panel.WaitForAssertion(() => Assert.False(Host.Stores.Reprocessing.IsPaused));
        panel.WaitForAssertion(() => Assert.Equal(2, changed));
    }

    [Fact]
    public async Task Winds_of_before_are_given_up_with_a_reason_alone()
    {
        var done = new ReprocessingItem(99, 1, null, null, 10, 20, 11, 11, 0, 0, 0, 1.5, null, "done", Core.Time.Instant.FromUtc(2031, 5, 9), Core.Time.Instant.FromUtc(2031, 5, 10), null, null);
        var panel = Render<ReprocessingPanel>(p => p.Add(x => x.Items, [done]).Add(x => x.Sets, []).Add(x => x.OldDays, []));
        await panel.InvokeAsync(() => panel.FindAll("button").Single(b => b.TextContent == "Give up the winds of before").Click());
        panel.WaitForAssertion(() => Assert.Contains("Found no reason", panel.Find("[role=alert]").TextContent, StringComparison.Ordinal));
        await panel.InvokeAsync(() => panel.Find("details input").Change("compared, and better"));
        await panel.InvokeAsync(() => panel.FindAll("button").Single(b => b.TextContent == "Give up the winds of before").Click());
        panel.WaitForAssertion(() => Assert.Contains("No reprocessing follows from a decision with the number 99", panel.Find("[role=alert]").TextContent, StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_set_that_was_approved_once_comes_back_by_the_form_of_the_time_line()
    {
        var id = await ProposeAsync("goes", 453, validFrom: "2031-05-25T00:00:00Z");
        await Desk.ApproveAsync(id, new() { Reason = "in", InPlaceOf = Desk.Outlook(id, new()).InPlaceOf, OverLater = true }, Lea);
        var page = Show();
        await page.InvokeAsync(() => page.Find(".back-form select").Change("1"));
        await page.InvokeAsync(() => page.Find(".back-reason input").Change("it was better"));
        await page.InvokeAsync(() => page.FindAll(".back-form input")[0].Change("4870"));
        // Before the click: from where, in place of what, until when, and what it costs.
        page.WaitForAssertion(() => Assert.Contains($"from orbit 4870 (", page.Find(".back-outlook").TextContent, StringComparison.Ordinal));
        Assert.Contains($"in place of {id} 'goes', and until further notice. No orbit with data lies there", page.Find(".back-outlook").TextContent, StringComparison.Ordinal);
        // Another set comes into force there between the look and the click: who decided what is told, and nothing is overridden.
        var between = await ProposeAsync("between", 454, validFrom: "2031-05-25T00:00:00Z");
        await Desk.ApproveAsync(between, new() { Reason = "it was urgent", InPlaceOf = id, OverLater = true }, Lea);
        await Click(page, "Reinstate");
        page.WaitForAssertion(() => Assert.Contains($"set {between} 'between' is in force (approved by lea on ", page.Find(".back-refusal").TextContent, StringComparison.Ordinal));
        Assert.Contains("it was urgent", page.Find(".back-refusal").TextContent, StringComparison.Ordinal);
        Assert.Equal(CoefficientDecision.Approved, Host.Stores.Coefficients.Get(1)!.State);
        page.WaitForAssertion(() => Assert.Contains($"in place of {between} 'between'", page.Find(".back-outlook").TextContent, StringComparison.Ordinal));
        await Click(page, "Reinstate");
        page.WaitForAssertion(() => Assert.Equal(CoefficientDecision.Reinstated, Host.Stores.Coefficients.Get(1)!.State));
        page.WaitForAssertion(() => Assert.Contains("it was better", page.Markup, StringComparison.Ordinal));
    }

    [Fact]
    public void A_viewer_sees_no_forms_of_proposals()
    {
        Be(new Actor("vic", Roles.Viewer, "127.0.0.1"));
        var page = Show();
        Assert.Empty(page.FindAll(".import-form, .hand-pick, .back-form"));
        var done = new ReprocessingItem(99, 1, null, null, 10, 20, 11, 11, 0, 0, 0, 1.5, null, "done", Core.Time.Instant.FromUtc(2031, 5, 9), Core.Time.Instant.FromUtc(2031, 5, 10), null, null);
        var panel = Render<ReprocessingPanel>(p => p.Add(x => x.Items, [done, done with { Decision = 98, Finished = null, State = "waiting" }]).Add(x => x.Sets, []).Add(x => x.OldDays, []));
        Assert.Empty(panel.FindAll("button, input"));
    }

    [Fact]
    public async Task Each_decision_has_a_reason_of_its_own_and_nothing_is_said_of_days_while_one_is_being_taken_up()
    {
        var done = new ReprocessingItem(99, 1, null, null, 10, 20, 11, 11, 0, 0, 0, 1.5, null, "done", Core.Time.Instant.FromUtc(2031, 5, 9), Core.Time.Instant.FromUtc(2031, 5, 10), null, null);
        var panel = Render<ReprocessingPanel>(p => p.Add(x => x.Items, [done, done with { Decision = 98 }]).Add(x => x.Sets, []).Add(x => x.OldDays, []).Add(x => x.TakingUp, true));
        Assert.Contains("A decision is being taken up", panel.Markup, StringComparison.Ordinal);
        Assert.DoesNotContain("All days' products", panel.Markup, StringComparison.Ordinal);
        await panel.InvokeAsync(() => panel.FindAll("details input")[0].Change("compared"));
        await panel.InvokeAsync(() => panel.FindAll("button").Last(b => b.TextContent == "Give up the winds of before").Click());
        panel.WaitForAssertion(() => Assert.Contains("Found no reason", panel.Find("[role=alert]").TextContent, StringComparison.Ordinal));
    }

    private IRenderedComponent<CoefficientsPage> Show()
    {
        var page = Render<CoefficientsPage>();
        page.WaitForElement("#timeline-title");
        return page;
    }

    private static AngleSharp.Dom.IElement Label(IRenderedComponent<CoefficientsPage> page, string words) =>
        page.FindAll(".hand-pick label, .hand-form label").First(l => l.TextContent.TrimStart().StartsWith(words, StringComparison.Ordinal)).QuerySelector("input, select")!;

    private static Task Click(IRenderedComponent<CoefficientsPage> page, string button) => page.InvokeAsync(() => page.FindAll("button").First(b => b.TextContent == button).Click());
}
