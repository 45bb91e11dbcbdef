using Microsoft.Playwright;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>The morning's way through the program in a real browser: Today → the orbit that lacks data → its flag.</summary>
[Collection(JourneyCollection.Name)]
public sealed class MorningCheckInTests(MissionServer server, Chromium chromium)
{
    private const float Patience = Chromium.Patience;

    [Fact]
    public async Task From_today_to_an_orbit_to_its_flag()
    {
        await using var context = await chromium.Browser.NewContextAsync(new BrowserNewContextOptions { ViewportSize = new ViewportSize { Width = 1440, Height = 900 } });
        context.SetDefaultTimeout(Patience);
        var page = await context.NewPageAsync();
        var errors = new List<string>();
        page.PageError += (_, error) => errors.Add(error);

        await page.GotoAsync(server.Address.ToString());
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Today" })).ToBeVisibleAsync();
        // The orbit without packets is not usable, and the first page says so in words.
        var incomplete = (await server.Json("/api/v1/orbits")).GetProperty("items").EnumerateArray().First(o => o.GetProperty("verdict").GetString() == "incomplete");
        var orbit = incomplete.GetProperty("orbit").GetInt32();
        await page.Locator($"a[href*='orbit/{orbit}']").First.ClickAsync();

        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = $"Orbit {orbit}" })).ToBeVisibleAsync();
        await Assertions.Expect(page.GetByText("incomplete").First).ToBeVisibleAsync();
        await Assertions.Expect(page.Locator(".js-plotly-plot").First).ToBeVisibleAsync();

        await page.GetByRole(AriaRole.Link, new() { Name = "Flags" }).First.ClickAsync();
        var flag = (await server.Json("/api/v1/flags")).GetProperty("items").EnumerateArray()
            .First(f => f.GetProperty("rule").GetString() == "incomplete-orbit" && f.GetProperty("state").GetString() == "raised");
        // It may stand folded under its likely cause: every group is opened first, once the circuit has drawn the page, which folds them.
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Flags", Level = 1 })).ToBeVisibleAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Save this view" }).And(page.Locator(":enabled")).WaitForAsync();
        await page.GetByRole(AriaRole.Link, new() { Name = flag.GetProperty("message").GetString()!, IncludeHidden = true }).First.WaitForAsync(new() { State = WaitForSelectorState.Attached });
        foreach (var fold in await page.Locator(".flag-group details:not([open]) > summary").AllAsync()) await fold.ClickAsync();
        await page.GetByRole(AriaRole.Link, new() { Name = flag.GetProperty("message").GetString()! }).First.ClickAsync();
        await Assertions.Expect(page.GetByText("incomplete-orbit").First).ToBeVisibleAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Take", Exact = true }).First.ClickAsync();
        await Assertions.Expect(page.GetByText("You have it.").First).ToBeVisibleAsync();

        var stored = await server.Json($"/api/v1/flags?state=taken");
        Assert.Contains(stored.GetProperty("items").EnumerateArray(), f => f.GetProperty("id").GetString() == flag.GetProperty("id").GetString());
        Assert.Empty(errors);
    }

    [Fact]
    public async Task A_zoom_on_the_orbit_page_stands_in_its_address()
    {
        await using var context = await chromium.Browser.NewContextAsync(new BrowserNewContextOptions { ViewportSize = new ViewportSize { Width = 1440, Height = 900 } });
        context.SetDefaultTimeout(Patience);
        var page = await context.NewPageAsync();
        await page.GotoAsync(new Uri(server.Address, "orbit").ToString());
        var drag = page.Locator(".js-plotly-plot .nsewdrag").First;
        await Assertions.Expect(drag).ToBeVisibleAsync();
        // Nothing may move under the pointer: all plots are there.
        await Assertions.Expect(page.Locator(".skeleton, [data-state=loading]")).ToHaveCountAsync(0);
        var whole = await RangeAsync(page);
        var box = (await drag.BoundingBoxAsync())!;
        await page.Mouse.MoveAsync(box.X + box.Width * 0.3f, box.Y + box.Height * 0.5f);
        await page.Mouse.DownAsync();
        await page.Mouse.MoveAsync(box.X + box.Width * 0.6f, box.Y + box.Height * 0.5f, new MouseMoveOptions { Steps = 5 });
        await page.Mouse.UpAsync();
        await page.WaitForURLAsync(url => url.Contains("from=", StringComparison.Ordinal) && url.Contains("to=", StringComparison.Ordinal));

        await page.ReloadAsync();
        await Assertions.Expect(page.Locator(".js-plotly-plot .nsewdrag").First).ToBeVisibleAsync();
        var zoomed = await RangeAsync(page);
        Assert.InRange((zoomed.To - zoomed.From) / (whole.To - whole.From), 0.27, 0.33);
        Assert.InRange((zoomed.From - whole.From) / (whole.To - whole.From), 0.27, 0.33);
    }

    // What the first plot shows, ms since 1970.
    private static async Task<(double From, double To)> RangeAsync(IPage page)
    {
        var range = await page.EvaluateAsync<double[]>("document.querySelector('.js-plotly-plot')._fullLayout.xaxis.range.map(t => typeof t === 'number' ? t : Date.parse(t.replace(' ', 'T') + 'Z'))");
        return (range[0], range[1]);
    }

    [Theory]
    [InlineData("")]
    [InlineData("drift")]
    [InlineData("channels")]
    [InlineData("flags")]
    [InlineData("data")]
    [InlineData("vouch")]
    [InlineData("vouch?tab=zero")]
    [InlineData("winds")]
    [InlineData("winds/compare")]
    [InlineData("winds/budget")]
    [InlineData("winds/corrections")]
    [InlineData("day")]
    [InlineData("activities")]
    [InlineData("rules")]
    [InlineData("rules/data-gap")]
    [InlineData("reports")]
    [InlineData("views")]
    [InlineData("account/notices")]
    [InlineData("notices")]
    [InlineData("record")]
    [InlineData("coefficients")]
    [InlineData("help")]
    [InlineData("people")]
    [InlineData("account")]
    [InlineData("sign-in")]
    public async Task A_page_fits_a_phone(string path)
    {
        await using var context = await chromium.Browser.NewContextAsync(new BrowserNewContextOptions { ViewportSize = new ViewportSize { Width = 390, Height = 844 }, ColorScheme = ColorScheme.Dark });
        context.SetDefaultTimeout(Patience);
        var page = await context.NewPageAsync();
        await page.GotoAsync(new Uri(server.Address, path).ToString());
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToBeVisibleAsync();
        var overflow = await page.EvaluateAsync<int>("document.documentElement.scrollWidth - document.documentElement.clientWidth");
        var widest = await page.EvaluateAsync<string[]>("[...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > innerWidth + 1).slice(0, 8).map(e => e.tagName + '.' + e.className)");
        Assert.True(overflow <= 0, $"/{path} is {overflow} px wider than a phone of 390 px: {string.Join(", ", widest)}.");
    }
}
