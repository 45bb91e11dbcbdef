using Bunit;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Coefficients.Proposals;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Coefficients.Proposals;

public sealed class ProposalPageTests(WebHost host) : CoefficientPages(host), IClassFixture<WebHost>
{
    [Fact]
    public async Task A_lead_finds_every_answer_in_the_order_of_the_questions()
    {
        // Before anything that other tests put in force.
        var id = await ProposeAsync("all of it", 431, validFrom: "2031-05-20T00:00:00Z");
        await Desk.AddEvidenceAsync(id, 1, EvidenceJson.Write(SampleEvidence.Of(1, NameOf(1))));
        var page = Show(id);
        var text = Text(page);
        // The order of the questions: what to weigh, what and why, numbers, residuals, winds, flags, cost, decision.
        string[] order =
        [
            "image-shift-step on orbit 4603", "1 better, 1 worse, of 2", "why all of it", "4600–4601, 4603–4604 (4 orbits)", "4602, 4605 (2 orbits)", "thermal lag τ", "+6.4", "67 % smaller", "0.5 % larger, ± 4 %", "30 % larger", "1 residual stays as before",
            "none", "−2.50", "12 that are bad now would become usable, 7 would become bad", "Would appear", "Scene visibility of view F lost 9 %.", "Would vanish", "Thermal residual, view F, green, was 12.5 m/s.",
            "No orbit with data lies behind the start of this set", "Approving puts it in force", "in place of 1 '", "The mission's flight rules come first",
        ];
        var at = 0;
        foreach (var words in order)
        {
            var found = text.IndexOf(words, at, StringComparison.Ordinal);
            Assert.True(found >= 0, $"'{words}' does not stand behind '{text[Math.Max(0, at - 40)..at]}' in:\n{text}");
            at = found;
        }
        Assert.Contains("plots/coefficients/" + id + "/residuals?measure=lamp", page.Markup, StringComparison.Ordinal);
        Assert.DoesNotContain("state-panel", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Orbits_held_out_after_those_of_the_fit_stand_apart_with_what_is_lost_there()
    {
        var id = await ProposeAsync("later orbits", 443, validFrom: "2031-05-20T00:00:00Z");
        await Desk.AddEvidenceAsync(id, 1, EvidenceJson.Write(SampleEvidence.WithLater(1, NameOf(1), 443)));
        var page = Show(id);
        var text = Text(page);
        string[] order =
        [
            "after the fit's orbits 1 better, of 1; between them 1 better, 1 worse, of 2", "4602, 4605 (2 orbits) between them; after them 4606–4607 (2 orbits)", "Held out, between them", "Held out, after them",
            "scene phase", "moved", "mean from 6.00 to 17.0; the air is in it", "lamp phase", "54 % smaller", "lost", "40 of 300 measurements lost (13.3 %), most on orbit 4607; 260 are left", "a set is used on later orbits",
            "The charts of 31 of 35 series go on from the orbits before", "4 begin anew with both sets", "Not run: rules on telemetry",
        ];
        var at = 0;
        foreach (var words in order)
        {
            var found = text.IndexOf(words, at, StringComparison.Ordinal);
            Assert.True(found >= 0, $"'{words}' does not stand behind '{text[Math.Max(0, at - 40)..at]}' in:\n{text}");
            at = found;
        }
        // Every row has a cell for every column.
        Assert.All(page.FindAll("table.residuals tbody tr"), row => Assert.Equal(12, row.Children.Sum(c => int.Parse(c.GetAttribute("colspan") ?? "1", System.Globalization.CultureInfo.InvariantCulture))));
    }

    [Fact]
    public async Task A_lead_approves_with_a_reason_and_the_page_says_who_when_why_and_what_came_of_it()
    {
        var id = await ProposeAsync("to be approved", 432);
        var page = Show(id);
        page.WaitForAssertion(() => Assert.Contains("No evidence yet", page.Markup, StringComparison.Ordinal));
        await Click(page, "Approve");
        page.WaitForAssertion(() => Assert.Contains("Found no reason", page.Find("[role=alert]").TextContent, StringComparison.Ordinal));
        await page.InvokeAsync(() => page.Find("textarea").Change("residual is smaller"));
        await Click(page, "Approve");
        page.WaitForAssertion(() => Assert.Contains("residual is smaller", page.Find(".decisions").TextContent, StringComparison.Ordinal));
        Assert.Contains("by lea as calibration-lead", Text(page), StringComparison.Ordinal);
        Assert.Equal(CoefficientDecision.Approved, Host.Stores.Coefficients.Get(id)!.State);
        Assert.Contains("Decided without evidence", page.Markup, StringComparison.Ordinal);
        page.WaitForAssertion(() => Assert.Contains("Reprocessing: no orbit had to be made again", Text(page), StringComparison.Ordinal));
        Assert.Empty(page.FindAll("textarea"));
    }

    [Fact]
    public async Task A_lead_declines_and_nothing_is_in_force_of_it()
    {
        var id = await ProposeAsync("to be declined", 433);
        var page = Show(id);
        await page.InvokeAsync(() => page.Find("textarea").Change("no evidence"));
        await Click(page, "Decline");
        page.WaitForAssertion(() => Assert.Contains("no evidence", page.Find(".decisions").TextContent, StringComparison.Ordinal));
        Assert.Equal(CoefficientDecision.Declined, Host.Stores.Coefficients.Get(id)!.State);
    }

    [Fact]
    public async Task Who_proposed_is_refused_and_who_may_not_sees_no_form()
    {
        var id = await ProposeAsync("own", 434, Lea);
        var page = Show(id);
        Assert.Contains("You proposed this, so you do not decide about it", Text(page), StringComparison.Ordinal);
        Assert.DoesNotContain(page.FindAll("button"), b => b.TextContent is "Approve" or "Decline");
        Be(new Actor("leo", Roles.CalibrationLead, "127.0.0.1"));
        page = Show(id);
        ActAs(Lea);
        await page.InvokeAsync(() => page.Find("textarea").Change("mine"));
        await Click(page, "Approve");
        page.WaitForAssertion(() => Assert.Contains("lea proposed the set 'own' and so cannot decide", page.Find("[role=alert]").TextContent, StringComparison.Ordinal));
        Be(Ada);
        page = Show(id);
        Assert.Empty(page.FindAll("textarea"));
        Assert.Contains("waits for a calibration lead", Text(page), StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_analyst_asks_for_evidence_and_is_told_what_becomes_of_it()
    {
        Be(Ada);
        var id = await ProposeAsync("asked for", 435);
        var page = Show(id);
        await Click(page, "Compute it");
        page.WaitForAssertion(() => Assert.Contains("The evidence could not be computed No orbit is complete with its neighbours yet", Text(page), StringComparison.Ordinal));
        Assert.Contains("Nothing is lost: the proposal stands", Text(page), StringComparison.Ordinal);
        Assert.Equal((RecordKinds.CoefficientsEvidence, "ada"), Host.Stores.Record.List(new(Person: "ada"), 1).Items.Select(e => (e.What, e.Person)).Single());
        Be(new Actor("vic", Roles.Viewer, "127.0.0.1"));
        Assert.DoesNotContain(Show(await ProposeAsync("looked at", 436)).FindAll("button"), b => b.TextContent.StartsWith("Compute", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Evidence_of_an_older_form_and_against_another_set_is_told()
    {
        var id = await ProposeAsync("old form", 437);
        await Desk.AddEvidenceAsync(id, 1, """{"version":0,"residual":3}""");
        var page = Show(id);
        Assert.Contains("The evidence is of an older form", Text(page), StringComparison.Ordinal);

        var other = await ProposeAsync("other", 438);
        var late = await ProposeAsync("late", 439);
        await Desk.AddEvidenceAsync(late, 1, EvidenceJson.Write(SampleEvidence.Of(1, NameOf(1), 439)));
        var first = Desk.Outlook(late, new()).InPlaceOf!.Value;
        await Desk.ApproveAsync(other, new() { Reason = "it goes first", InPlaceOf = first }, Lea);
        page = Show(late);
        Assert.Contains("Another set is in force by now", Text(page), StringComparison.Ordinal);
        Assert.Contains($"{other} 'other' is in force now", Text(page), StringComparison.Ordinal);
        Assert.Contains(page.FindAll("button"), b => b.TextContent == "Compute it again");
    }

    [Fact]
    public async Task After_a_decision_the_page_shows_what_could_be_seen_when_it_was_taken()
    {
        var id = await ProposeAsync("seen", 441);
        await Desk.AddEvidenceAsync(id, Desk.Outlook(id, new()).InPlaceOf, EvidenceJson.Write(SampleEvidence.Of(1, NameOf(1), 441)));
        await Desk.DeclineAsync(id, "not better", Host.Stores.Coefficients.NewestEvidence(id)!.Id, Lea);
        await Desk.AddEvidenceAsync(id, 1, EvidenceJson.Write(SampleEvidence.Of(1, NameOf(1), 441) with { WindsLost = 12_345 }));
        var text = Text(Show(id));
        Assert.Contains("7 would become bad", text, StringComparison.Ordinal);
        // Of what is decided: as it was computed.
        foreach (var words in new[] { "as of when the evidence was computed", "51, 4590 to 4640", "4: 2031-05-08 to 2031-05-11", "some 96 s" }) Assert.Contains(words, text, StringComparison.Ordinal);
        Assert.Contains("Evidence was computed again after the decision", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_the_evidence_rests_on_has_moved_is_told_and_a_decision_that_has_seen_it_counts()
    {
        var id = await ProposeAsync("moved ground", 443, validFrom: "2031-05-20T00:00:00Z");
        // Fingerprints that no archive has.
        var against = Desk.Outlook(id, new()).InPlaceOf!.Value;
        var ground = new EvidenceGround { From = Desk.Outlook(id, new()).From, Orbit = Desk.Outlook(id, new()).Orbit, Against = against, Orbits = [.. Enumerable.Range(SampleEvidence.FirstOrbit, 6).Select(o => new GroundOrbit(o, "00"))], Versions = "other" };
        await Desk.AddEvidenceAsync(id, against, EvidenceJson.Write(SampleEvidence.Of(against, NameOf(against), 443) with { Ground = ground }));
        var page = Show(id);
        var text = Text(page);
        Assert.Contains("What the evidence rests on has moved", text, StringComparison.Ordinal);
        Assert.Contains("since then late data, or another orbit, attitude or activity file, changed 6 of the 6 orbits, and another version of the program computes it, and other flag rules are in force", text, StringComparison.Ordinal);
        Assert.Contains("at most every 10 min", text, StringComparison.Ordinal);
        // Who names the evidence and not what has become of its ground is refused; the page names both.
        var refused = await Assert.ThrowsAsync<DecisionRefusedException>(() => Desk.ApproveAsync(id, new() { Reason = "blind", Evidence = Host.Stores.Coefficients.NewestEvidence(id)!.Id }, Lea));
        Assert.Contains("has moved since it was computed", refused.Message, StringComparison.Ordinal);
        await page.InvokeAsync(() => page.Find("textarea").Change("seen, and it does not matter"));
        await Click(page, "Approve");
        page.WaitForAssertion(() => Assert.Contains("seen, and it does not matter", page.Find(".decisions").TextContent, StringComparison.Ordinal));
        Assert.Equal(Host.Stores.Coefficients.NewestEvidence(id)!.Id, Host.Stores.Coefficients.Decisions(id).Single().Evidence);
    }

    [Fact]
    public async Task Another_start_in_the_form_says_that_the_evidence_is_for_the_first_and_asks_for_some()
    {
        var id = await ProposeAsync("another start", 444, validFrom: "2031-05-20T00:00:00Z");
        var own = Desk.Outlook(id, new());
        var ground = new EvidenceGround { From = own.From, Orbit = own.Orbit, Against = own.InPlaceOf!.Value, Orbits = [], Versions = "other" };
        await Desk.AddEvidenceAsync(id, own.InPlaceOf, EvidenceJson.Write(SampleEvidence.Of(own.InPlaceOf.Value, NameOf(own.InPlaceOf.Value), 444) with { Ground = ground }));
        var page = Show(id);
        Assert.Empty(page.FindAll(".decision-other-start"));
        var later = own.Orbit!.Value + 10;
        await page.InvokeAsync(() => page.Find("input[type=number]").Change(later));
        page.WaitForAssertion(() => Assert.Contains($"a start at orbit {own.Orbit}, not for orbit {later}", page.Find(".decision-other-start").TextContent, StringComparison.Ordinal));
        Assert.Contains($"Approving puts it in force from orbit {later}", Text(page), StringComparison.Ordinal);
        Assert.Contains($"from orbit {later} on, as things stand", Text(page), StringComparison.Ordinal);
        await Click(page, "Compute it for this start");
        page.WaitForAssertion(() => Assert.Contains($"\"fromOrbit\":{later}", Host.Stores.Record.List(new(), 1).Items[0].After, StringComparison.Ordinal));
        await page.InvokeAsync(() => page.Find("input[type=number]").Change(1));
        page.WaitForAssertion(() => Assert.Contains("Found the orbit 1", page.Find(".decision-refusal").TextContent, StringComparison.Ordinal));
    }

    [Fact]
    public void A_failed_computation_says_why_and_what_to_do()
    {
        var view = new ProposalView { Set = Item(), Sets = [], State = EvidenceState.None, Numbers = [], Reprocessing = [] };
        var panel = Render<EvidenceStatePanel>(p => p.Add(x => x.View, view).Add(x => x.Progress, new EvidenceProgress("winds", 3, 6, "Orbit 4601 has no fringes.")));
        Assert.Contains("Orbit 4601 has no fringes.", panel.Find("[role=alert]").TextContent, StringComparison.Ordinal);
        Assert.Equal("Compute it", panel.Find("button").TextContent);
        panel = Render<EvidenceStatePanel>(p => p.Add(x => x.View, view).Add(x => x.Progress, new EvidenceProgress("winds", 3, 6, null)));
        Assert.Contains("winds: orbit 3 of 6", panel.Find("[role=status]").TextContent, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("999999")]
    [InlineData("nonsense")]
    [InlineData("-1")]
    public void A_number_that_no_set_has_is_told(string id) => Assert.Contains("There is no such proposal", Text(Render<ProposalPage>(p => p.Add(x => x.Id, id))), StringComparison.Ordinal);

    [Fact]
    public void The_profiles_own_set_has_no_form_to_decide()
    {
        var page = Show(1);
        Assert.Contains("approved by", Text(page).Replace("  ", " ", StringComparison.Ordinal), StringComparison.Ordinal);
        Assert.Empty(page.FindAll("textarea"));
    }

    [Fact]
    public async Task The_residual_that_is_plotted_stands_in_the_address()
    {
        var id = await ProposeAsync("plotted", 442);
        await Desk.AddEvidenceAsync(id, 1, EvidenceJson.Write(SampleEvidence.Of(1, NameOf(1), 442)));
        Navigation.NavigateTo($"/coefficients/proposals/{id}?plot={ResidualMeasures.ImageShift}");
        Assert.Contains("residuals?measure=image-shift", Show(id).Markup, StringComparison.Ordinal);
        // Made by hand: nobody looked through a window of orbits, and the page does not say that somebody did.
        await Desk.AddEvidenceAsync(id, 1, EvidenceJson.Write(SampleEvidence.Of(1, NameOf(1), 442) with { Warnings = [], WindsByView = [new("F", "green", double.NaN, double.NaN, 4000, -0.0028, 0.0031, 0.02, 5.2)] }));
        var text = Text(Show(id));
        Assert.Contains("so no stretch of orbits was looked through for events", text, StringComparison.Ordinal);
        Assert.Contains("−0.0030.0030.02", text.Replace(" ", "", StringComparison.Ordinal), StringComparison.Ordinal);
        Navigation.NavigateTo($"/coefficients/proposals/{id}?plot=nonsense");
        Assert.Contains("The address says plot=nonsense", Text(Show(id)), StringComparison.Ordinal);
    }

    private static Web.Features.Coefficients.CoefficientSetItem Item() => new(7, "seven", Instant.FromUtc(2031, 6, 1), CoefficientDecision.Proposed, CoefficientSource.Fit, "ada", Roles.Analyst, Instant.FromUtc(2031, 5, 9), "why", "", 1, "1.0", "00",
        System.Text.Json.JsonElement.Parse("{}"), null, null, [], []);

    private IRenderedComponent<ProposalPage> Show(long id)
    {
        var page = Render<ProposalPage>(p => p.Add(x => x.Id, id.ToString(System.Globalization.CultureInfo.InvariantCulture)));
        page.WaitForElement(".proposal");
        return page;
    }

    private static Task Click(IRenderedComponent<ProposalPage> page, string button) => page.InvokeAsync(() => page.FindAll("button").First(b => b.TextContent == button).Click());

    private static string Text(IRenderedComponent<ProposalPage> page) => string.Join(' ', page.Nodes.SelectMany(n => n.TextContent.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries)));
}
