using Microsoft.Playwright;
using Phasekeeper.Web.Features.SignIn;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>People at an <see cref="OwnMissionServer"/>, each in a browser of their own.</summary>
internal sealed class Visitors : IAsyncDisposable
{
    // A password is hashed 210,000 times, on a machine that may be busy.
    private const float Patience = 120_000;
    private readonly List<IBrowserContext> contexts = [];
    private readonly Chromium chromium;
    private readonly Uri address;

    public Visitors(Chromium chromium, Uri address)
    {
        (this.chromium, this.address) = (chromium, address);
        Assertions.SetDefaultExpectTimeout(Patience);
    }

    /// <summary>The first administrator, on the page People.</summary>
    public async Task<IPage> AdministratorAsync()
    {
        var page = await NewPageAsync();
        await page.GotoAsync(new Uri(address, "people").ToString());
        await SignInAsync(page, FirstAdministrator.Name, OwnMissionServer.AdminPassword);
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "People", Exact = true })).ToBeVisibleAsync();
        return page;
    }

    /// <summary>A person whom the administrator adds, who signs in and chooses a password; on the page Account.</summary>
    public async Task<IPage> NewPersonAsync(IPage administrator, string name, string password, params string[] roles)
    {
        await administrator.GetByLabel("Name").FillAsync(name);
        var group = administrator.GetByRole(AriaRole.Group, new() { Name = "Roles", Exact = true });
        foreach (var role in roles) await group.GetByLabel(role).CheckAsync();
        await administrator.GetByRole(AriaRole.Button, new() { Name = "Add", Exact = true }).ClickAsync();
        await Assertions.Expect(administrator.GetByRole(AriaRole.Button, new() { Name = $"Lock {name}", Exact = true })).ToBeVisibleAsync();
        var made = await administrator.Locator(".people-secret").TextContentAsync();

        var page = await NewPageAsync();
        await page.GotoAsync(new Uri(address, "flags").ToString());
        await SignInAsync(page, name, made!);
        await page.GetByLabel("Present password").FillAsync(made!);
        await page.GetByLabel("New password", new() { Exact = true }).FillAsync(password);
        await page.GetByLabel("New password again").FillAsync(password);
        await page.GetByRole(AriaRole.Button, new() { Name = "Change" }).ClickAsync();
        await Assertions.Expect(page.GetByText("The password is changed.")).ToBeVisibleAsync();
        return page;
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        foreach (var context in contexts) await context.DisposeAsync();
    }

    private async Task<IPage> NewPageAsync()
    {
        var context = await chromium.Browser.NewContextAsync(new BrowserNewContextOptions { ViewportSize = new ViewportSize { Width = 1440, Height = 900 } });
        context.SetDefaultTimeout(Patience);
        contexts.Add(context);
        return await context.NewPageAsync();
    }

    private static async Task SignInAsync(IPage page, string name, string password)
    {
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Sign in" })).ToBeVisibleAsync();
        await page.GetByLabel("Name").FillAsync(name);
        await page.GetByLabel("Password").FillAsync(password);
        await page.GetByRole(AriaRole.Button, new() { Name = "Sign in" }).ClickAsync();
    }
}
