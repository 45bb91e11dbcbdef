using System.Globalization;
using Microsoft.Playwright;
using Phasekeeper.Storage;
using Phasekeeper.Web.Tests.Features.Notices;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>Notices in a real browser: a person subscribes, asks for a trial message, and sees whether the mail server took it; when it did not, the page says so and a retry by hand delivers.</summary>
public sealed class NoticeJourneyTests(Chromium chromium) : IClassFixture<Chromium>
{
    private const string AnnasPassword = "four words of her own";

    [Fact]
    public async Task A_person_subscribes_tries_it_out_sees_a_failure_and_has_it_tried_again()
    {
        using var mail = new SmtpReceiver(Behaviour.Takes, Behaviour.Permanent);
        await using var server = new OwnMissionServer
        {
            Settings = new Dictionary<string, string>
            {
                ["Phasekeeper:Notices:Smtp:Host"] = "127.0.0.1",
                ["Phasekeeper:Notices:Smtp:Port"] = mail.Port.ToString(CultureInfo.InvariantCulture),
                ["Phasekeeper:Notices:Smtp:Security"] = "none",
                ["Phasekeeper:Notices:Smtp:From"] = "phasekeeper@mission.example",
            },
        };
        var address = server.Start();
        await using var people = new Visitors(chromium, address);
        var administrator = await people.AdministratorAsync();
        var anna = await people.NewPersonAsync(administrator, "anna", AnnasPassword, Roles.Analyst);
        var mine = new Uri(address, "account/notices").ToString();

        await anna.GetByRole(AriaRole.Link, new() { Name = "Your notices" }).ClickAsync();
        await SubscribeAsync(anna, "anna@mission.example");
        await TrialAsync(anna, "anna@mission.example");
        await ShowsAsync(anna, mine, Message(anna).First, "delivered");
        Assert.Contains("To: anna@mission.example", Assert.Single(mail.Taken), StringComparison.Ordinal);

        // The next one is refused for good: the page says what the server answered.
        await SubscribeAsync(anna, "anna.away@mission.example");
        await TrialAsync(anna, "anna.away@mission.example");
        var refused = Message(anna).Filter(new() { HasText = "550" });
        await ShowsAsync(anna, mine, refused, "given up");
        await Assertions.Expect(refused).ToContainTextAsync("no such mailbox");
        Assert.Single(mail.Taken);
        // The administrator sees it too.
        await administrator.GotoAsync(new Uri(address, "notices").ToString());
        await Assertions.Expect(Message(administrator).Filter(new() { HasText = "given up" })).ToContainTextAsync("anna");

        await anna.GetByRole(AriaRole.Button, new() { Name = "Try again" }).ClickAsync();
        await Assertions.Expect(anna.GetByRole(AriaRole.Status).First).ToContainTextAsync("tried again");
        await anna.GotoAsync(mine);
        await ShowsAsync(anna, mine, Message(anna).Filter(new() { HasText = "delivered" }).Nth(1), "delivered");
        Assert.Contains(mail.Taken, m => m.Contains("To: anna.away@mission.example", StringComparison.Ordinal));
        Assert.Equal(["anna"], server.Stores.Record.List(new RecordFilter { What = NoticeRecordKinds.Retry }, 10).Items.Select(e => e.Person));
    }

    private static async Task SubscribeAsync(IPage page, string target)
    {
        await page.GetByLabel("Address: e-mail").FillAsync(target);
        await page.GetByRole(AriaRole.Button, new() { Name = "Subscribe" }).ClickAsync();
        await Assertions.Expect(page.GetByText("You are subscribed.")).ToBeVisibleAsync();
    }

    private static async Task TrialAsync(IPage page, string target)
    {
        await page.GetByRole(AriaRole.Button, new() { Name = $"Send a trial message to {target}", Exact = true }).ClickAsync();
        await Assertions.Expect(page.GetByText("The trial message is in the queue")).ToBeVisibleAsync();
    }

    private static ILocator Message(IPage page) => page.GetByRole(AriaRole.Row).Filter(new() { HasText = "trial message" }).Filter(new() { Has = page.Locator(".notice-subject") });

    // The page is static: it is loaded again, as its text says, until the queue has had its turn (every 10 s).
    private static async Task ShowsAsync(IPage page, string mine, ILocator row, string state)
    {
        for (var load = 0; load < 60 && !(await row.AllTextContentsAsync()).Any(t => t.Contains(state, StringComparison.Ordinal)); load++)
        {
            await page.WaitForTimeoutAsync(1000);
            await page.GotoAsync(mine);
        }
        await Assertions.Expect(row).ToContainTextAsync(state);
    }
}
