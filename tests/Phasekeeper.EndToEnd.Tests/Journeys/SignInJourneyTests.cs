using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Playwright;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Web.Features.SignIn;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>Sign-in in a real browser: the first administrator adds a person, who signs in, works, and is locked while a page of theirs is open.</summary>
public sealed class SignInJourneyTests(Chromium chromium) : IClassFixture<Chromium>
{
    private const float Patience = 120_000;
    private const string AdminPassword = "a long password of the first start";
    private const string OwnPassword = "four words of her own";

    [Fact]
    public async Task A_lock_ends_a_page_that_is_open()
    {
        Assertions.SetDefaultExpectTimeout(Patience);
        await using var server = new Server();
        var address = server.Start();

        await using var administratorsContext = await NewContextAsync();
        var administrator = await administratorsContext.NewPageAsync();
        await administrator.GotoAsync(new Uri(address, "people").ToString());
        await SignInAsync(administrator, FirstAdministrator.Name, AdminPassword);
        await Assertions.Expect(administrator.GetByRole(AriaRole.Heading, new() { Name = "People", Exact = true })).ToBeVisibleAsync();
        await administrator.GetByLabel("Name").FillAsync("nora");
        await administrator.GetByRole(AriaRole.Group, new() { Name = "Roles", Exact = true }).GetByLabel("operator").CheckAsync();
        await administrator.GetByRole(AriaRole.Button, new() { Name = "Add", Exact = true }).ClickAsync();
        var made = await administrator.Locator(".people-secret").TextContentAsync();

        await using var norasContext = await NewContextAsync();
        var nora = await norasContext.NewPageAsync();
        await nora.GotoAsync(new Uri(address, "flags").ToString());
        await SignInAsync(nora, "nora", made!);
        await nora.GetByLabel("Present password").FillAsync(made!);
        await nora.GetByLabel("New password", new() { Exact = true }).FillAsync(OwnPassword);
        await nora.GetByLabel("New password again").FillAsync(OwnPassword);
        await nora.GetByRole(AriaRole.Button, new() { Name = "Change" }).ClickAsync();
        await Assertions.Expect(nora.GetByText("The password is changed.")).ToBeVisibleAsync();
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

    private async Task<IBrowserContext> NewContextAsync()
    {
        var context = await chromium.Browser.NewContextAsync(new BrowserNewContextOptions { ViewportSize = new ViewportSize { Width = 1440, Height = 900 } });
        context.SetDefaultTimeout(Patience);
        return context;
    }

    private static async Task SignInAsync(IPage page, string name, string password)
    {
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Sign in" })).ToBeVisibleAsync();
        await page.GetByLabel("Name").FillAsync(name);
        await page.GetByLabel("Password").FillAsync(password);
        await page.GetByRole(AriaRole.Button, new() { Name = "Sign in" }).ClickAsync();
    }

    private sealed class Server : WebApplicationFactory<Program>
    {
        private readonly string folder = Directory.CreateTempSubdirectory("phasekeeper-signin-").FullName;

        public Uri Start()
        {
            new ScenarioGenerator(DemoScenario.Default, events: []).WriteProfile(Path.Combine(folder, "profile"));
            UseKestrel(0);
            StartServer();
            return ClientOptions.BaseAddress;
        }

        protected override void ConfigureWebHost(IWebHostBuilder builder)
        {
            builder.UseSetting("Phasekeeper:Profile", Path.Combine(folder, "profile"));
            builder.UseSetting("Phasekeeper:Data", Path.Combine(folder, "data"));
            builder.UseSetting("Phasekeeper:Bootstrap:AdminPassword", AdminPassword);
            builder.ConfigureServices(services => services.AddSingleton(new SignInTimes(TimeSpan.FromSeconds(1))));
        }

        protected override void Dispose(bool disposing)
        {
            base.Dispose(disposing);
            if (disposing && Directory.Exists(folder)) Directory.Delete(folder, recursive: true);
        }
    }
}
