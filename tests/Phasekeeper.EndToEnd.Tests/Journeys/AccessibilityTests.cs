using System.Text.RegularExpressions;
using Microsoft.Playwright;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>Every page, and every tab of it, against the rules of WCAG 2.0 to 2.2, levels A and AA, that a program can check (axe-core): light and dark, wide and on a phone.</summary>
[Collection(JourneyCollection.Name)]
public sealed partial class AccessibilityTests(MissionServer server, Chromium chromium)
{
    private const float Patience = Chromium.Patience;

    private static readonly (int Width, int Height)[] Sizes = [(1440, 900), (390, 844)];

    /// <summary>Routes of all pages.</summary>
    public static TheoryData<string> Routes => [.. PageAddresses.Routes];

    [Theory]
    [MemberData(nameof(Routes))]
    public async Task A_page_keeps_the_rules(string route)
    {
        await using var context = await NewContextAsync();
        var page = await context.NewPageAsync();
        var found = new List<string>();
        var address = await PageAddresses.OfAsync(route, server.Json);
        Assert.NotNull(address);
        await ShowAsync(page, address);
        await CheckAsync(page, found);
        foreach (var tab in await TabsAsync(page))
        {
            await ShowAsync(page, tab);
            await CheckAsync(page, found);
        }
        Assert.True(found.Count == 0, string.Join('\n', found));
    }

    [Fact]
    public async Task Faults_of_a_page_are_found()
    {
        await using var context = await NewContextAsync();
        var page = await context.NewPageAsync();
        await ShowAsync(page, "help");
        // Behind what the program draws, so that it stays.
        await page.EvaluateAsync("document.body.insertAdjacentHTML('beforeend', '<p style=\"color:#777;background:#888\">pale</p><p><button style=\"width:10px;height:10px;padding:0\">x</button><button style=\"width:10px;height:10px;padding:0\">y</button></p><input>')");
        var found = (await Axe.FaultsAsync(page)).Select(f => f.Rule).ToHashSet();
        Assert.Superset(new HashSet<string> { "color-contrast", "target-size", "label" }, found);
    }

    private async Task<IBrowserContext> NewContextAsync()
    {
        // Without motion: colours are what they come to, not what they pass through.
        var context = await chromium.Browser.NewContextAsync(new BrowserNewContextOptions { ReducedMotion = ReducedMotion.Reduce });
        context.SetDefaultTimeout(Patience);
        return context;
    }

    private async Task ShowAsync(IPage page, string address)
    {
        await page.GotoAsync(new Uri(server.Address, address).ToString());
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToBeVisibleAsync();
        await SettledAsync(page);
    }

    // Everything that is loaded, or drawn when it comes near, is there; for a moment, while the circuit takes over what the server rendered, the title is not.
    private static async Task SettledAsync(IPage page)
    {
        await Assertions.Expect(page.Locator(".skeleton, [data-state=loading]")).ToHaveCountAsync(0);
        await Assertions.Expect(page).ToHaveTitleAsync(Title());
        // A page that stopped on an error would be judged as it was before.
        await Assertions.Expect(page.Locator("#blazor-error-ui")).ToBeHiddenAsync();
    }

    // Tabs that the page keeps in its own address.
    private static async Task<string[]> TabsAsync(IPage page) =>
        await page.EvaluateAsync<string[]>("[...new Set([...document.querySelectorAll('main a[href*=\"tab=\"]')].map(a => a.href).filter(h => new URL(h).pathname === location.pathname && h !== location.href))]");

    private static async Task CheckAsync(IPage page, List<string> found)
    {
        foreach (var (width, height) in Sizes)
        {
            await page.SetViewportSizeAsync(width, height);
            foreach (var scheme in new[] { ColorScheme.Light, ColorScheme.Dark })
            {
                await ShowInAsync(page, scheme);
                await SettledAsync(page);
                found.AddRange((await Axe.FaultsAsync(page)).Select(f => $"{new Uri(page.Url).PathAndQuery}, {scheme}, {width} px wide: {f.Rule}: {f.Text}"));
            }
        }
    }

    // The page hears of the scheme with the next frame, and a browser that nobody looks at draws none for minutes when the machine is busy: a picture makes it draw.
    private static async Task ShowInAsync(IPage page, ColorScheme scheme)
    {
        await page.EmulateMediaAsync(new PageEmulateMediaOptions { ColorScheme = scheme });
        await page.ScreenshotAsync();
        await Assertions.Expect(page.Locator("html")).ToHaveAttributeAsync("data-theme", scheme == ColorScheme.Dark ? "dark" : "light");
    }

    [GeneratedRegex("Phasekeeper$")]
    private static partial Regex Title();
}
