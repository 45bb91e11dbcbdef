using Microsoft.Playwright;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>The words of a page, in the line above it: by keys, wide and on a phone.</summary>
[Collection(JourneyCollection.Name)]
public sealed class WordsHereJourneyTests(MissionServer server, Chromium chromium)
{
    [Theory]
    [InlineData(1440, 900)]
    [InlineData(390, 844)]
    public async Task The_words_of_a_page_open_by_keys_move_nothing_and_lead_to_help(int width, int height)
    {
        await using var context = await chromium.Browser.NewContextAsync(new BrowserNewContextOptions { ViewportSize = new() { Width = width, Height = height } });
        context.SetDefaultTimeout(Chromium.Patience);
        var page = await context.NewPageAsync();
        await page.GotoAsync(new Uri(server.Address, "rules").ToString());
        await page.WaitForFunctionAsync("() => window.Blazor && document.querySelector('[aria-controls=save-view]:enabled')");
        var summary = page.Locator(".words-here summary");
        var list = page.Locator(".words-here-list");
        await Assertions.Expect(list).ToBeHiddenAsync();
        var before = await PlacesAsync(page);

        await summary.FocusAsync();
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(list).ToBeVisibleAsync();
        await Assertions.Expect(list).ToContainTextAsync("A rule replayed over stored data");
        Assert.Equal(before, await PlacesAsync(page));
        var box = (await list.BoundingBoxAsync())!;
        Assert.True(box.X >= 0 && box.X + box.Width <= width && box.Y + box.Height <= height, $"the list from {box.X}, {box.Y} is {box.Width} by {box.Height} px in a window of {width} by {height}");
        Assert.True((await summary.BoundingBoxAsync())!.Height >= 24);

        await page.Keyboard.PressAsync("Tab");
        await page.Keyboard.PressAsync("Escape");
        await Assertions.Expect(list).ToBeHiddenAsync();
        await Assertions.Expect(summary).ToBeFocusedAsync();

        await page.Keyboard.PressAsync("Space");
        await page.Keyboard.PressAsync("Tab");
        await page.Keyboard.PressAsync("Enter");
        await page.WaitForURLAsync(url => url.EndsWith("/help#word-rehearsal", StringComparison.Ordinal));
        await Assertions.Expect(page.Locator("#word-rehearsal")).ToBeInViewportAsync();
        await Assertions.Expect(page.Locator(".words-here")).ToHaveCountAsync(0);
    }

    [Fact]
    public async Task Another_page_shows_its_own_words_folded()
    {
        await using var context = await chromium.Browser.NewContextAsync(new BrowserNewContextOptions { ViewportSize = new() { Width = 1440, Height = 900 } });
        context.SetDefaultTimeout(Chromium.Patience);
        var page = await context.NewPageAsync();
        await page.GotoAsync(new Uri(server.Address, "rules").ToString());
        await page.WaitForFunctionAsync("() => window.Blazor && document.querySelector('[aria-controls=save-view]:enabled')");
        await page.Locator(".words-here summary").ClickAsync();
        await page.Locator(".main-nav a[href='/flags']").ClickAsync();
        await page.WaitForURLAsync("**/flags");
        await Assertions.Expect(page.Locator(".words-here a[href='/help#word-escalation']")).ToHaveCountAsync(1);
        await Assertions.Expect(page.Locator(".words-here a[href='/help#word-rehearsal']")).ToHaveCountAsync(0);
        await Assertions.Expect(page.Locator(".words-here-list")).ToBeHiddenAsync();
    }

    // Height of the line, top of the heading, and how far the page reaches to the right.
    private static Task<string> PlacesAsync(IPage page) =>
        page.EvaluateAsync<string>("() => [document.querySelector('.page-bar').getBoundingClientRect().height, document.querySelector('h1').getBoundingClientRect().top, document.documentElement.scrollWidth].join(' ')");
}
