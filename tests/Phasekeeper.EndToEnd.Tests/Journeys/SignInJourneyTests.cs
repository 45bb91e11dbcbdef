using Microsoft.Playwright;
using Phasekeeper.Web.Features.SignIn;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>Sign-in in a real browser: the first administrator adds a person, who signs in, works, and is locked while a page of theirs is open.</summary>
public sealed class SignInJourneyTests(Chromium chromium) : IClassFixture<Chromium>
{
    private const string OwnPassword = "four words of her own";

    [Fact]
    public async Task A_lock_ends_a_page_that_is_open()
    {
        await using var server = new OwnMissionServer();
        var address = server.Start();
        await using var people = new Visitors(chromium, address);
        var administrator = await people.AdministratorAsync();
        var nora = await people.NewPersonAsync(administrator, "nora", OwnPassword, "operator");
        await nora.GetByRole(AriaRole.Link, new() { Name = "To Today", Exact = true }).ClickAsync();
        // A click while one page gives way to the other is lost, for people too.
        await Assertions.Expect(nora.GetByRole(AriaRole.Heading, new() { Name = "Today", Exact = true })).ToBeVisibleAsync();
        await nora.GetByRole(AriaRole.Link, new() { Name = "Flags", Exact = true }).ClickAsync();
        await Assertions.Expect(nora.GetByRole(AriaRole.Heading, new() { Name = "Flags", Exact = true })).ToBeVisibleAsync();
        // People are an administrator's: she does not see the page, and does not reach it.
        await Assertions.Expect(nora.GetByRole(AriaRole.Link, new() { Name = "People", Exact = true })).ToHaveCountAsync(0);
        await nora.GotoAsync(new Uri(address, "people").ToString());
        await Assertions.Expect(nora.GetByRole(AriaRole.Heading, new() { Name = "Your role does not reach this page" })).ToBeVisibleAsync();
        // What the server rendered is there before the circuit is, and a circuit that is not there yet cannot look.
        await nora.RunAndWaitForWebSocketAsync(() => nora.GetByRole(AriaRole.Link, new() { Name = "Flags", Exact = true }).ClickAsync());
        await Assertions.Expect(nora.GetByRole(AriaRole.Heading, new() { Name = "Flags", Exact = true })).ToBeVisibleAsync();

        await administrator.GetByRole(AriaRole.Button, new() { Name = "Lock nora" }).ClickAsync();
        await Assertions.Expect(administrator.GetByText("nora is locked")).ToBeVisibleAsync();
        // She has not touched her page since: the circuit itself has looked.
        await Assertions.Expect(nora.GetByRole(AriaRole.Heading, new() { Name = "You are signed out" })).ToBeVisibleAsync();
    }
}
