using Microsoft.Extensions.DependencyInjection;
using Microsoft.Playwright;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Storage;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>The morning check-in without a mouse: from the sign-in to the day signed off in fewer than ten interactions.</summary>
public sealed class SignOffJourneyTests(Chromium chromium) : IClassFixture<Chromium>
{
    private const string OwnPassword = "four words of her own";
    private static readonly TimeSpan LongestWait = TimeSpan.FromMinutes(4);

    [Fact]
    public async Task From_the_sign_in_to_a_signed_day_in_fewer_than_ten_interactions_by_keyboard_alone()
    {
        await using var server = new OwnMissionServer();
        var address = server.Start();
        await using var people = new Visitors(chromium, address);
        var administrator = await people.AdministratorAsync();
        await people.NewPersonAsync(administrator, "nora", OwnPassword, "operator");
        // The day before the first exposures: its last orbit ends an hour and a half after midnight.
        var mission = new ScenarioGenerator(DemoScenario.Default, events: []);
        var intake = server.Services.GetRequiredService<IntakeService>();
        await intake.IngestAsync(mission.PacketsFor(mission.FirstPacket, DemoScenario.Default.Start.AddSeconds(7200)), "journey", Actor.System);
        using var timeout = new CancellationTokenSource(LongestWait);
        while (!server.Stores.Work.IsEmpty) await Task.Delay(200, timeout.Token);

        await using var context = await chromium.Browser.NewContextAsync(new BrowserNewContextOptions { ViewportSize = new ViewportSize { Width = 1440, Height = 900 } });
        context.SetDefaultTimeout(Chromium.Patience);
        var page = await context.NewPageAsync();
        await page.GotoAsync(address.ToString());
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Sign in" })).ToBeVisibleAsync();
        await page.GetByLabel("Name").FocusAsync();

        var interactions = 0;
        async Task TypeAsync(string text) { interactions++; await page.Keyboard.TypeAsync(text); }
        async Task PressAsync(string key) { interactions++; await page.Keyboard.PressAsync(key); }

        await TypeAsync("nora");
        await PressAsync("Tab");
        await TypeAsync(OwnPassword);
        await page.RunAndWaitForWebSocketAsync(() => PressAsync("Enter"));
        await Assertions.Expect(page.GetByRole(AriaRole.Link, new() { Name = "Sign off " })).ToBeVisibleAsync();
        // The heading has the focus, and what waits for a person comes next.
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToBeFocusedAsync();
        await PressAsync("Tab");
        await PressAsync("Enter");
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToContainTextAsync("Day ");
        var confirm = page.GetByRole(AriaRole.Button, new() { Name = "Confirm:" });
        await Assertions.Expect(confirm).ToBeEnabledAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToBeFocusedAsync();
        await PressAsync("Tab");
        await PressAsync("Enter");
        await Assertions.Expect(page.GetByText("Signed off as").First).ToBeVisibleAsync();

        Assert.True(interactions < 10, $"It took {interactions} interactions.");
        var day = DemoScenario.Default.Start.UtcDate.AddDays(-1);
        Assert.Equal("nora", server.Stores.SignOffs.Newest(Pipeline.SignOff.DayReader.DayNumber(day))!.Actor);
    }
}
