using Microsoft.Playwright;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>From any page to any other by its name, by keys alone.</summary>
[Collection(JourneyCollection.Name)]
public sealed class GoToJourneyTests(MissionServer server, Chromium chromium)
{
    [Fact]
    public async Task A_page_an_orbit_a_day_and_a_flag_are_reached_by_writing_their_names()
    {
        await using var context = await chromium.Browser.NewContextAsync(new BrowserNewContextOptions { ViewportSize = new ViewportSize { Width = 1440, Height = 900 }, ReducedMotion = ReducedMotion.Reduce });
        context.SetDefaultTimeout(Chromium.Patience);
        var page = await context.NewPageAsync();
        await page.GotoAsync(server.Address.ToString());
        var title = page.GetByRole(AriaRole.Heading, new() { Level = 1 });
        await Assertions.Expect(title).ToContainTextAsync("Today");

        await GoAsync("drift");
        await Assertions.Expect(title).ToContainTextAsync("Drift");
        var orbit = (await server.Json("/api/v1/orbits?limit=1")).GetProperty("items")[0];
        var number = orbit.GetProperty("orbit").ToString();
        await GoAsync(number);
        await Assertions.Expect(title).ToContainTextAsync($"Orbit {number}");
        await GoAsync(orbit.GetProperty("start").GetString()![..10]);
        await Assertions.Expect(title).ToContainTextAsync("Day ");
        var flag = (await server.Json("/api/v1/flags/newest?limit=1")).GetProperty("items")[0];
        await GoAsync(flag.GetProperty("message").GetString()!, page.Locator(".go-to [role=option]").Filter(new() { HasText = flag.GetProperty("message").GetString() }).First);
        await page.WaitForURLAsync("**/flags/*");

        async Task GoAsync(string text, ILocator? listed = null)
        {
            // A page shows before its scripts are there.
            await Assertions.Expect(page.GetByRole(AriaRole.Button, new() { Name = "Save this view" })).ToBeEnabledAsync();
            await page.Keyboard.PressAsync("Control+k");
            await Assertions.Expect(page.GetByRole(AriaRole.Combobox, new() { Name = "Go to" })).ToBeFocusedAsync();
            await page.Keyboard.TypeAsync(text);
            await Assertions.Expect(listed ?? page.Locator(".go-to [role=option][aria-selected=true]")).ToBeVisibleAsync();
            await page.Keyboard.PressAsync("Enter");
        }
    }

    [Fact]
    public async Task It_tells_when_nothing_fits_keeps_the_rules_of_access_and_gives_the_focus_back()
    {
        await using var context = await chromium.Browser.NewContextAsync(new BrowserNewContextOptions { ViewportSize = new ViewportSize { Width = 390, Height = 844 }, ReducedMotion = ReducedMotion.Reduce });
        context.SetDefaultTimeout(Chromium.Patience);
        var page = await context.NewPageAsync();
        await page.GotoAsync(new Uri(server.Address, "help").ToString());
        // The circuit's first drawing takes the focus to the heading.
        await Assertions.Expect(page.GetByRole(AriaRole.Button, new() { Name = "Save this view" })).ToBeEnabledAsync();
        var button = page.GetByRole(AriaRole.Button, new() { Name = "Go to…" });
        await button.FocusAsync();
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(page.Locator(".go-to [role=option][aria-selected=true]")).ToBeVisibleAsync();
        Assert.Empty(await Axe.FaultsAsync(page));
        await page.Keyboard.TypeAsync("no such place");
        await Assertions.Expect(page.GetByText("Nothing fits.")).ToBeVisibleAsync();
        Assert.Empty(await Axe.FaultsAsync(page));
        await page.Keyboard.PressAsync("Escape");
        await Assertions.Expect(button).ToBeFocusedAsync();
    }
}
