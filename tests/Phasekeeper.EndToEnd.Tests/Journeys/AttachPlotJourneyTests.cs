using System.Text.Json;
using Microsoft.Playwright;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>A plot of another page beside a flag, by keys alone.</summary>
[Collection(JourneyCollection.Name)]
public sealed class AttachPlotJourneyTests(MissionServer server, Chromium chromium)
{
    [Theory]
    [InlineData(1440, 900, ColorScheme.Light)]
    [InlineData(390, 844, ColorScheme.Dark)]
    public async Task A_plot_on_drift_is_attached_by_keys_and_its_flag_shows_it_as_seen(int width, int height, ColorScheme colours)
    {
        await using var context = await chromium.Browser.NewContextAsync(new BrowserNewContextOptions { ViewportSize = new ViewportSize { Width = width, Height = height }, ColorScheme = colours, ReducedMotion = ReducedMotion.Reduce });
        context.SetDefaultTimeout(Chromium.Patience);
        var page = await context.NewPageAsync();
        var flag = (await server.Json("/api/v1/flags/newest?limit=1")).GetProperty("items")[0];
        var (id, message) = (flag.GetProperty("id").GetString()!, flag.GetProperty("message").GetString()!);
        var before = (await PlotsAsync()).Length;

        await page.GotoAsync(new Uri(server.Address, "drift?s=beta-angle&range=all").ToString());
        await Assertions.Expect(page.GetByRole(AriaRole.Button, new() { Name = "Save this view" })).ToBeEnabledAsync();
        await page.Locator("figure.plot[data-state=ready]").First.WaitForAsync();
        var open = page.GetByRole(AriaRole.Button, new() { Name = "Attach to a flag…" });
        var form = page.GetByRole(AriaRole.Form, new() { Name = "Attach the plot" });
        var find = form.GetByRole(AriaRole.Searchbox);
        await open.FocusAsync();
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(find).ToBeFocusedAsync();
        await Assertions.Expect(form.GetByRole(AriaRole.Group, new() { Name = "Flags that stand in this plot's time" }).GetByRole(AriaRole.Radio).First).ToBeVisibleAsync();
        Assert.InRange(await form.GetByRole(AriaRole.Radio).CountAsync(), 1, 12);
        Assert.Empty(await Axe.FaultsAsync(page));
        Assert.Equal(0, await page.EvaluateAsync<int>("() => document.documentElement.scrollWidth - document.documentElement.clientWidth"));
        Assert.Empty(await page.EvaluateAsync<string[]>("() => [...document.querySelectorAll('.attach label:has([type=radio]), .attach button, .attach input:not([type=radio])')].filter((e) => e.getBoundingClientRect().height < 24).map((e) => e.outerHTML)"));
        await page.EmulateMediaAsync(new() { Media = Media.Print });
        await Assertions.Expect(form).ToBeHiddenAsync();
        await page.EmulateMediaAsync(new() { Media = Media.Screen });

        // What is printed has no focus; back on the screen, Escape closes, and the focus is where it was.
        await find.FocusAsync();
        await page.Keyboard.PressAsync("Escape");
        await Assertions.Expect(form).ToBeHiddenAsync();
        await Assertions.Expect(open).ToBeFocusedAsync();

        await page.Keyboard.PressAsync("Enter");
        await page.Keyboard.TypeAsync("no flag is called like this");
        await Assertions.Expect(form.GetByText("No flag fits.")).ToBeVisibleAsync();
        await page.Keyboard.PressAsync("Control+a");
        await page.Keyboard.TypeAsync(id);
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(form.GetByRole(AriaRole.Radio)).ToHaveCountAsync(1);
        await Assertions.Expect(form.GetByRole(AriaRole.Radio)).ToBeCheckedAsync();
        await Assertions.Expect(form).ToContainTextAsync(message);
        await page.Keyboard.PressAsync("Tab");
        await page.Keyboard.PressAsync("Tab");
        await page.Keyboard.TypeAsync($"the angle at {width} px");

        // Refused: it is said why, and nothing of the form is lost.
        await page.RouteAsync("**/plots", route => route.Request.Method == "POST"
            ? route.FulfillAsync(new() { Status = 409, ContentType = "application/problem+json", Body = """{"detail":"The plot has 5.0 MiB of data; at most 4 MiB are kept."}""" }) : route.ContinueAsync());
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(form.GetByRole(AriaRole.Alert)).ToHaveTextAsync("Not attached: The plot has 5.0 MiB of data; at most 4 MiB are kept.");
        await Assertions.Expect(form.GetByLabel("What you see in it")).ToHaveValueAsync($"the angle at {width} px");
        await Assertions.Expect(form.GetByRole(AriaRole.Radio)).ToBeCheckedAsync();
        Assert.Equal(before, (await PlotsAsync()).Length);
        await page.UnrouteAsync("**/plots");

        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(form).ToBeHiddenAsync();
        await Assertions.Expect(open).ToBeFocusedAsync();
        var told = page.Locator("[data-plot=flag-told]");
        await Assertions.Expect(told).ToContainTextAsync("Attached, as it is seen now, to the flag " + id);
        var kept = (await PlotsAsync())[before];
        Assert.StartsWith("/api/v1/plots/drift?s=beta-angle", kept.GetProperty("url").GetString(), StringComparison.Ordinal);
        Assert.Equal($"the angle at {width} px", kept.GetProperty("note").GetString());
        var document = await server.Json(kept.GetProperty("document").GetString()!);
        Assert.NotEqual(0, document.GetProperty("traces")[0].GetProperty("x").GetArrayLength());

        await told.GetByRole(AriaRole.Link).FocusAsync();
        await page.Keyboard.PressAsync("Enter");
        await page.WaitForURLAsync("**/flags/*");
        await Assertions.Expect(page.GetByRole(AriaRole.Button, new() { Name = "Save this view" })).ToBeEnabledAsync();
        var step = page.Locator(".life li").Filter(new() { HasText = $"the angle at {width} px" });
        await step.GetByRole(AriaRole.Button, new() { Name = "as seen" }).FocusAsync();
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(step.Locator("figure.plot")).ToHaveAttributeAsync("data-state", "ready");
        await Assertions.Expect(step.Locator("figure.plot [data-plot=summary]")).ToHaveTextAsync(document.GetProperty("summary").GetString()!);

        async Task<JsonElement[]> PlotsAsync() => [.. (await server.Json("/api/v1/flags/" + Uri.EscapeDataString(id))).GetProperty("plots").EnumerateArray()];
    }

    [Fact]
    public async Task What_is_zoomed_is_kept_as_zoomed_and_who_only_reads_is_offered_nothing()
    {
        await using var context = await chromium.Browser.NewContextAsync(new BrowserNewContextOptions { ViewportSize = new ViewportSize { Width = 1440, Height = 900 }, ReducedMotion = ReducedMotion.Reduce });
        context.SetDefaultTimeout(Chromium.Patience);
        var page = await context.NewPageAsync();
        await page.GotoAsync(server.Address.ToString());
        var plot = page.Locator("figure.plot[data-state=ready]").Filter(new() { HasText = "lamp residual, these 24 h" });
        await plot.WaitForAsync();
        await plot.ScrollIntoViewIfNeededAsync();
        var area = (await plot.Locator(".nsewdrag").First.BoundingBoxAsync())!;
        var asked = page.WaitForResponseAsync(r => r.Url.Contains("/plots/today?from=", StringComparison.Ordinal));
        await page.Mouse.MoveAsync(area.X + area.Width * 0.6f, area.Y + area.Height / 2);
        await page.Mouse.DownAsync();
        await page.Mouse.MoveAsync(area.X + area.Width * 0.8f, area.Y + area.Height / 2, new() { Steps = 5 });
        await page.Mouse.UpAsync();
        var zoomed = new Uri((await asked).Url);

        await plot.GetByRole(AriaRole.Button, new() { Name = "Attach to a flag…" }).ClickAsync();
        var form = plot.GetByRole(AriaRole.Form, new() { Name = "Attach the plot" });
        await form.GetByRole(AriaRole.Searchbox).FillAsync("orbit");
        await form.GetByRole(AriaRole.Radio).First.CheckAsync();
        var id = await form.GetByRole(AriaRole.Radio).First.InputValueAsync();
        await form.GetByRole(AriaRole.Button, new() { Name = "Attach as seen" }).ClickAsync();
        await Assertions.Expect(plot.Locator("[data-plot=flag-told]")).ToContainTextAsync(id);
        var kept = (await server.Json("/api/v1/flags/" + Uri.EscapeDataString(id))).GetProperty("plots").EnumerateArray().Last();
        Assert.Equal(Uri.UnescapeDataString(zoomed.PathAndQuery), Uri.UnescapeDataString(kept.GetProperty("url").GetString()!));
        var x = (await server.Json(kept.GetProperty("document").GetString()!)).GetProperty("x");
        var query = System.Web.HttpUtility.ParseQueryString(zoomed.Query);
        Assert.Equal((Milliseconds(query["from"]!), Milliseconds(query["to"]!)), (x.GetProperty("min").GetDouble(), x.GetProperty("max").GetDouble()));

        await context.AddCookiesAsync([new() { Name = "pk-demo-role", Value = "viewer", Url = server.Address.ToString() }]);
        await page.ReloadAsync();
        await plot.WaitForAsync();
        await Assertions.Expect(plot.GetByRole(AriaRole.Button, new() { Name = "CSV" })).ToBeVisibleAsync();
        await Assertions.Expect(page.Locator("[data-plot^=flag]")).ToHaveCountAsync(0);

        static double Milliseconds(string time) => DateTimeOffset.Parse(time, System.Globalization.CultureInfo.InvariantCulture).ToUnixTimeMilliseconds();
    }
}
