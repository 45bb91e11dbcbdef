using Microsoft.Playwright;
using Phasekeeper.Storage;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>Coefficients in a real browser: a calibration lead proposes by hand and cannot decide; another one does.</summary>
public sealed class DecisionJourneyTests(Chromium chromium) : IClassFixture<Chromium>
{
    private const string LeasPassword = "four words of her own", LeosPassword = "four words of his own";

    [Fact]
    public async Task A_lead_who_proposed_is_offered_no_decision_and_takes_none_and_another_lead_approves()
    {
        await using var server = new OwnMissionServer();
        var address = server.Start();
        await using var people = new Visitors(chromium, address);
        var administrator = await people.AdministratorAsync();
        var lea = await people.NewPersonAsync(administrator, "lea", LeasPassword, Roles.CalibrationLead);
        var leo = await people.NewPersonAsync(administrator, "leo", LeosPassword, Roles.CalibrationLead);

        var proposal = await ProposeAsync(lea, address);
        var decision = lea.Locator(".decision-card");
        await Assertions.Expect(decision).ToContainTextAsync("You proposed this, so you do not decide about it");
        await Assertions.Expect(decision.GetByRole(AriaRole.Button, new() { Name = "Approve" })).ToHaveCountAsync(0);
        await Assertions.Expect(decision.GetByRole(AriaRole.Button, new() { Name = "Decline" })).ToHaveCountAsync(0);
        foreach (var step in new[] { "approve", "decline" })
        {
            // The call that a forged form would make, from her own page with her own session.
            var answer = await lea.EvaluateAsync<string[]>(
                "async path => { const a = await fetch(path, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ reason: 'mine' }) }); return [String(a.status), (await a.json()).detail]; }",
                $"/api/v1/coefficients/proposals/{proposal}/{step}");
            Assert.Equal("403", answer[0]);
            Assert.Contains("lea proposed the set 'a longer lag' and so cannot decide", answer[1], StringComparison.Ordinal);
        }

        await leo.GotoAsync(new Uri(address, $"coefficients/proposals/{proposal}").ToString());
        var form = leo.Locator(".decision-card");
        await form.GetByRole(AriaRole.Button, new() { Name = "Approve" }).And(leo.Locator(":enabled")).WaitForAsync();
        await form.GetByLabel("Reason").FillAsync("there are no data yet to hold it against");
        await form.GetByRole(AriaRole.Button, new() { Name = "Approve" }).ClickAsync();
        await Assertions.Expect(leo.Locator(".decisions")).ToContainTextAsync("there are no data yet to hold it against");
        // Her page, open all the while, says it too.
        await Assertions.Expect(lea.Locator(".decisions")).ToContainTextAsync("by leo as calibration-lead");

        await leo.GotoAsync(new Uri(address, "record").ToString());
        await Assertions.Expect(leo.GetByRole(AriaRole.Row).Filter(new() { HasText = "coefficients proposed" }).Filter(new() { HasText = "a longer lag" })).ToContainTextAsync("lea");
        await Assertions.Expect(leo.GetByRole(AriaRole.Row).Filter(new() { HasText = "coefficients approved" }).Filter(new() { HasText = "a longer lag" })).ToContainTextAsync("leo");
        Assert.Equal(["leo"], server.Stores.Record.List(new RecordFilter { What = RecordKinds.CoefficientsApprove, Subject = "a longer lag" }, 10).Items.Select(e => e.Person));
    }

    // By the form on the page, a number of one's own choice; gives the proposal's number.
    private static async Task<string> ProposeAsync(IPage page, Uri address)
    {
        await page.GotoAsync(new Uri(address, "coefficients").ToString());
        var hand = page.GetByRole(AriaRole.Region, new() { Name = "Change numbers by hand" });
        var add = hand.GetByRole(AriaRole.Button, new() { Name = "Add", Exact = true });
        await add.And(page.Locator(":enabled")).WaitForAsync();
        await hand.GetByLabel("Number").SelectOptionAsync("optics.thermal.lagS");
        await hand.GetByLabel("New value").FillAsync("431");
        await add.ClickAsync();
        await hand.GetByLabel("Name of the set").FillAsync("a longer lag");
        await hand.GetByLabel("Valid from orbit").FillAsync("4595");
        await hand.GetByLabel("Why").FillAsync("The lamp lags behind.");
        await hand.GetByRole(AriaRole.Button, new() { Name = "Propose", Exact = true }).ClickAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "a longer lag" })).ToBeVisibleAsync();
        return new Uri(page.Url).Segments[^1];
    }
}
