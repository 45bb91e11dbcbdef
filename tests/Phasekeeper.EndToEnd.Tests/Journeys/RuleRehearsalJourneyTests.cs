using Microsoft.Playwright;
using Phasekeeper.Storage;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>Rule rehearsal in a real browser: an analyst edits a rule, rehearses it, proposes it as rehearsed; a calibration lead, who is somebody else, approves it.</summary>
public sealed class RuleRehearsalJourneyTests(Chromium chromium) : IClassFixture<Chromium>
{
    private const string AnnasPassword = "four words of her own", LeosPassword = "four words of his own", Why = "Gaps of ten minutes are no matter here.";

    [Fact]
    public async Task A_rule_is_edited_rehearsed_proposed_and_approved_by_another()
    {
        await using var server = new OwnMissionServer();
        var address = server.Start();
        await using var people = new Visitors(chromium, address);
        var administrator = await people.AdministratorAsync();
        var anna = await people.NewPersonAsync(administrator, "anna", AnnasPassword, Roles.Analyst);
        var leo = await people.NewPersonAsync(administrator, "leo", LeosPassword, Roles.CalibrationLead);

        await anna.GotoAsync(new Uri(address, "rules").ToString());
        await anna.GetByRole(AriaRole.Link, new() { Name = "Gap in the data" }).ClickAsync();
        var rehearse = anna.GetByRole(AriaRole.Button, new() { Name = "Rehearse", Exact = true });
        await rehearse.And(anna.Locator(":enabled")).WaitForAsync();
        // What cannot be is told, with what was expected.
        var notice = anna.GetByLabel("notice limit");
        await notice.FillAsync("9999");
        await notice.BlurAsync();
        await rehearse.ClickAsync();
        await Assertions.Expect(anna.GetByRole(AriaRole.Alert)).ToContainTextAsync("rising limits");
        await notice.FillAsync("900");
        await notice.BlurAsync();
        await anna.GetByLabel("Stretch").SelectOptionAsync("all");
        await rehearse.ClickAsync();
        var propose = anna.GetByRole(AriaRole.Button, new() { Name = "Propose it as rehearsed" });
        await Assertions.Expect(anna.GetByRole(AriaRole.Row).Filter(new() { HasText = "Would raise, as rehearsed" })).ToBeVisibleAsync();
        await anna.GetByLabel("Reason").FillAsync(Why);
        await propose.ClickAsync();
        await Assertions.Expect(anna.GetByRole(AriaRole.Heading, new() { Name = "data-gap" })).ToBeVisibleAsync();
        await Assertions.Expect(anna.Locator("main")).ToContainTextAsync("You proposed this, so you do not decide about it");
        await Assertions.Expect(anna.GetByRole(AriaRole.Button, new() { Name = "Approve" })).ToHaveCountAsync(0);
        var proposal = new Uri(anna.Url).Segments[^1];

        await leo.GotoAsync(new Uri(address, $"rules/proposals/{proposal}").ToString());
        await leo.GetByRole(AriaRole.Button, new() { Name = "Approve" }).And(leo.Locator(":enabled")).WaitForAsync();
        await leo.GetByLabel("Reason").FillAsync("agreed in the morning round");
        await leo.GetByRole(AriaRole.Button, new() { Name = "Approve" }).ClickAsync();
        await Assertions.Expect(leo.Locator("main")).ToContainTextAsync("agreed in the morning round");
        // Her page, open all the while, says it too.
        await Assertions.Expect(anna.Locator("main")).ToContainTextAsync("agreed in the morning round");

        await leo.GotoAsync(new Uri(address, "rules").ToString());
        await Assertions.Expect(leo.GetByRole(AriaRole.Row).Filter(new() { HasText = "Gap in the data" })).ToContainTextAsync("900");
        Assert.Equal([("leo", (long?)2)], server.Stores.Rules.Versions().Where(v => v.Id == 2).Select(v => (v.Actor, (long?)v.Id)));
        Assert.Equal(["anna"], server.Stores.Record.List(new RecordFilter { What = RecordKinds.RulesPropose }, 10).Items.Select(e => e.Person));
        Assert.Equal(["leo"], server.Stores.Record.List(new RecordFilter { What = RecordKinds.RulesApprove }, 10).Items.Select(e => e.Person));
    }
}
