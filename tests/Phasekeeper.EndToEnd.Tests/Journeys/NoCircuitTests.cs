using Microsoft.Playwright;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>A page that the server has rendered and that no circuit makes work: it must not stand there as if it did.</summary>
public sealed class NoCircuitTests(Chromium chromium) : IClassFixture<Chromium>
{
    private const string Password = "four words of her own";

    [Fact]
    public async Task Who_is_locked_between_page_and_circuit_is_told_and_comes_to_the_sign_in_page_by_loading_it_again()
    {
        await using var server = new OwnMissionServer();
        await using var people = new Visitors(chromium, server.Start());
        var administrator = await people.AdministratorAsync();
        var nora = await people.NewPersonAsync(administrator, "nora", Password, "operator");
        // The circuit's way waits until the lock is there: as on a slow line.
        var locked = new TaskCompletionSource();
        await nora.RouteAsync("**/_blazor/negotiate**", async route =>
        {
            await locked.Task;
            await route.ContinueAsync();
        });
        await nora.GetByRole(AriaRole.Link, new() { Name = "To Today", Exact = true }).ClickAsync();
        await Assertions.Expect(nora.GetByRole(AriaRole.Heading, new() { Name = "Today", Exact = true })).ToBeVisibleAsync();
        await administrator.GetByRole(AriaRole.Button, new() { Name = "Lock nora" }).ClickAsync();
        await Assertions.Expect(administrator.GetByText("nora is locked")).ToBeVisibleAsync();
        // Sessions are looked at again once a second here.
        await Task.Delay(TimeSpan.FromSeconds(1.5));
        locked.SetResult();
        await Assertions.Expect(Notice(nora, "refused")).ToBeVisibleAsync();
        await Assertions.Expect(Notice(nora, "refused")).ToContainTextAsync("you are signed out");
        await nora.Locator("#circuit-notice").GetByRole(AriaRole.Button, new() { Name = "Load the page again" }).ClickAsync();
        await Assertions.Expect(nora.GetByRole(AriaRole.Heading, new() { Name = "Sign in" })).ToBeVisibleAsync();
    }

    [Fact]
    public async Task On_a_slow_line_the_page_says_that_it_waits_and_takes_it_back_when_the_circuit_comes()
    {
        await using var server = new OwnMissionServer();
        await using var people = new Visitors(chromium, server.Start());
        var nora = await people.NewPersonAsync(await people.AdministratorAsync(), "nora", Password, "operator");
        var told = new TaskCompletionSource();
        await nora.RouteAsync("**/_blazor/negotiate**", async route =>
        {
            await told.Task;
            await route.ContinueAsync();
        });
        await nora.GetByRole(AriaRole.Link, new() { Name = "To Today", Exact = true }).ClickAsync();
        await Assertions.Expect(Notice(nora, "waiting")).ToBeVisibleAsync();
        Assert.Empty((await Axe.FaultsAsync(nora)).Select(f => $"{f.Rule}: {f.Text}"));
        told.SetResult();
        await Assertions.Expect(nora.Locator("#circuit-notice")).ToBeHiddenAsync();
        // It works now: a click within the circuit shows another page of the same document.
        await nora.EvaluateAsync("window.sameDocument = true");
        await nora.GetByRole(AriaRole.Link, new() { Name = "Flags", Exact = true }).ClickAsync();
        await Assertions.Expect(nora.GetByRole(AriaRole.Heading, new() { Name = "Flags", Exact = true })).ToBeVisibleAsync();
        Assert.True(await nora.EvaluateAsync<bool>("window.sameDocument === true"));
        await Assertions.Expect(nora.Locator("#circuit-notice")).ToBeHiddenAsync();
    }

    [Fact]
    public async Task A_server_that_is_gone_before_the_circuit_is_told_too()
    {
        await using var server = new OwnMissionServer();
        await using var people = new Visitors(chromium, server.Start());
        var nora = await people.NewPersonAsync(await people.AdministratorAsync(), "nora", Password, "operator");
        await nora.RouteAsync("**/_blazor/negotiate**", route => route.AbortAsync());
        await nora.RouteAsync("**/api/v1/me", route => route.AbortAsync());
        await nora.GetByRole(AriaRole.Link, new() { Name = "To Today", Exact = true }).ClickAsync();
        await Assertions.Expect(Notice(nora, "unreachable")).ToBeVisibleAsync();
    }

    private static ILocator Notice(IPage page, string why) => page.Locator($"#circuit-notice > [data-for={why}]");
}
