using Microsoft.Playwright;
using Phasekeeper.Tests;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>Two people at two browsers, and one without a mouse.</summary>
[Collection(JourneyCollection.Name)]
public sealed class TeamJourneyTests(MissionServer server, Chromium chromium)
{
    private async Task<(IBrowserContext Context, IPage Page)> OpenAsync(string role, string path)
    {
        var context = await chromium.Browser.NewContextAsync(new BrowserNewContextOptions { ViewportSize = new ViewportSize { Width = 1440, Height = 900 } });
        context.SetDefaultTimeout(Chromium.Patience);
        await context.AddCookiesAsync([new Cookie { Name = "pk-demo-role", Value = role, Url = server.Address.ToString() }]);
        var page = await context.NewPageAsync();
        await page.GotoAsync(new Uri(server.Address, path).ToString());
        return (context, page);
    }

    private static ILocator Plot(IPage page) => page.Locator("figure.plot[data-state=ready]").First;

    [Fact]
    public async Task A_note_pinned_in_one_browser_by_keys_appears_in_the_others_plot_and_each_sees_that_the_other_is_there()
    {
        var (first, kim) = await OpenAsync("operator", "");
        await using var _ = first;
        var (second, ada) = await OpenAsync("analyst", "");
        await using var __ = second;
        await Assertions.Expect(kim.Locator(".also-here")).ToContainTextAsync("demo analyst");
        await Assertions.Expect(ada.Locator(".also-here")).ToContainTextAsync("demo operator");
        await Plot(ada).WaitForAsync();
        await Plot(kim).GetByRole(AriaRole.Button, new() { Name = "Note", Exact = true }).FocusAsync();
        await kim.Keyboard.PressAsync("Enter");
        await kim.Keyboard.TypeAsync("Lamp warmed up twice");
        await kim.Keyboard.PressAsync("Enter");
        await Assertions.Expect(Plot(ada).GetByRole(AriaRole.List)).ToContainTextAsync("Lamp warmed up twice (demo operator)");
        await Assertions.Expect(Plot(ada).Locator(".plot-summary")).ToContainTextAsync("1 note of the team");
        await Assertions.Expect(Plot(ada).Locator(".plot-canvas")).ToContainTextAsync("note 1");
        await second.CloseAsync();
        await Assertions.Expect(kim.Locator(".also-here")).Not.ToContainTextAsync("demo analyst");
        // Away again, so that other journeys find the plots as they were.
        await Plot(kim).GetByRole(AriaRole.Button, new() { Name = "Retire note 1: Lamp warmed up twice" }).PressAsync("Enter");
        await Assertions.Expect(Plot(kim).GetByRole(AriaRole.List)).ToBeHiddenAsync();
    }

    [Fact]
    public async Task A_view_saved_on_one_page_is_opened_from_the_list_by_another_person()
    {
        var (first, kim) = await OpenAsync("operator", "drift?range=7d");
        await using var _ = first;
        await kim.GetByRole(AriaRole.Button, new() { Name = "Save this view" }).And(kim.Locator(":enabled")).WaitForAsync();
        await kim.GetByRole(AriaRole.Button, new() { Name = "Save this view" }).PressAsync("Enter");
        await kim.GetByLabel("Name", new() { Exact = true }).FillAsync("A week of drift");
        await kim.GetByLabel("Name", new() { Exact = true }).PressAsync("Enter");
        await Assertions.Expect(kim.GetByText("Saved as “A week of drift”.")).ToBeVisibleAsync();
        var (second, ada) = await OpenAsync("analyst", "views");
        await using var __ = second;
        await ada.GetByRole(AriaRole.Link, new() { Name = "A week of drift" }).ClickAsync();
        await ada.WaitForURLAsync("**/drift?range=7d");
    }

    [Fact]
    public async Task The_report_of_a_day_is_made_on_the_page_and_its_pdf_has_the_days_plots()
    {
        // The day with most orbits: the first one has a quarter of an hour.
        var day = (await server.Json("/api/v1/days")).GetProperty("items").EnumerateArray().MaxBy(d => d.GetProperty("orbits").GetInt32()).GetProperty("date").GetString();
        var (context, page) = await OpenAsync("operator", "reports?first=" + day);
        await using var _ = context;
        var make = page.GetByRole(AriaRole.Button, new() { Name = "Make PDF" }).And(page.Locator(":enabled"));
        await make.WaitForAsync();
        await make.ClickAsync();
        await Assertions.Expect(page.GetByText("The report is made")).ToBeVisibleAsync(new() { Timeout = 4 * Chromium.Patience });
        var href = await page.Locator("a[href$='.pdf']").First.GetAttributeAsync("href");
        var read = new PdfReading(await server.Api.GetByteArrayAsync(new Uri(href!, UriKind.Relative)));
        var words = string.Concat(read.Words.Where(c => !char.IsWhiteSpace(c)));
        // Axes stand inside the plots' drawings alone; panels of winds are pictures.
        string[] drawn = ["Verdict", "Fringe rows (%)", "Interferometer (°C)", "Residual (m/s)", "Lamp offset (rad)", "Scene phase residual (m/s)", "Winds of", "Error budget", $"page 1 of {read.Pages}"];
        Assert.All(drawn, d => Assert.Contains(d.Replace(" ", "", StringComparison.Ordinal), words, StringComparison.Ordinal));
        Assert.True(read.Strokes > 50 && read.Pictures >= 2, $"{read.Strokes} strokes, {read.Pictures} pictures");
    }

    [Fact]
    public async Task A_flag_is_reached_selected_taken_explained_commented_and_settled_by_keys_alone()
    {
        // Another rule's flag than the one that the morning's journey takes.
        var rule = (await server.Json("/api/v1/flags?state=raised")).GetProperty("items").EnumerateArray().Select(f => f.GetProperty("rule").GetString()!).First(r => r != "incomplete-orbit");
        var (context, page) = await OpenAsync("operator", "flags?rule=" + Uri.EscapeDataString(rule));
        await using var _ = context;
        var box = page.GetByRole(AriaRole.Checkbox, new() { NameRegex = new System.Text.RegularExpressions.Regex("^Select: ") }).First;
        await box.WaitForAsync();
        await page.WaitForFunctionAsync("() => window.Blazor && document.querySelector('[aria-controls=save-view]:enabled')");
        await page.Locator("h1").FocusAsync();
        await TabToAsync(page, "input[type=checkbox]");
        await page.Keyboard.PressAsync("Space");
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "1 flag selected" })).ToBeVisibleAsync();
        await TabToAsync(page, ".bulk button.primary");
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(page.Locator(".flag-facts").Filter(new() { HasText = "with demo operator" }).First).ToBeVisibleAsync();

        var flag = (await server.Json("/api/v1/flags?state=taken")).GetProperty("items").EnumerateArray().First(f => f.GetProperty("rule").GetString() == rule).GetProperty("id").GetString()!;
        await page.Locator("h1").FocusAsync();
        await TabToAsync(page, $"a[href$='flags/{Uri.EscapeDataString(flag)}']");
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(page.GetByText("You have it.")).ToBeVisibleAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Explain", Exact = true }).And(page.Locator(":enabled")).WaitForAsync();
        await page.Locator("h1").FocusAsync();
        await TabToAsync(page, ".step-field select");
        await page.Keyboard.PressAsync("ArrowDown");
        await TabToAsync(page, ".step-field textarea");
        await page.Keyboard.TypeAsync("Seen on the ground too.");
        await TabToAsync(page, "button", "Explain");
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(page.GetByText("Seen on the ground too.").First).ToBeVisibleAsync();
        await TabToAsync(page, ".comment-field textarea");
        await page.Keyboard.TypeAsync("I tell the others.");
        await TabToAsync(page, "button", "Comment");
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(page.GetByText("I tell the others.").First).ToBeVisibleAsync();
        await page.Locator("h1").FocusAsync();
        await TabToAsync(page, "button", "Settle");
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(page.GetByText("Settled; demo operator had it.")).ToBeVisibleAsync();
    }

    // Tab by Tab to something, whose focus must be seen.
    private static async Task TabToAsync(IPage page, string selector, string words = "")
    {
        for (var i = 0; i < 300; i++)
        {
            await page.Keyboard.PressAsync("Tab");
            // Both at once: a page that is just being drawn anew may move the focus between two questions.
            if (await page.EvaluateAsync<string?>("([s, words]) => document.activeElement.matches(s) && document.activeElement.textContent.trim().startsWith(words) ? getComputedStyle(document.activeElement).outlineStyle : null", new[] { selector, words }) is not { } outline) continue;
            Assert.NotEqual("none", outline);
            return;
        }
        Assert.Fail($"300 presses of Tab did not reach {selector} {words}.");
    }
}
