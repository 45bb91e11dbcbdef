using System.Net;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.SignIn;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.SignIn;

/// <summary>The whole road by an identity provider: out to it, back with a code, the code for a token, the token for a person (OpenID Connect Core 1.0, section 3.1).</summary>
public sealed class ProviderRoadTests : IClassFixture<ProviderHost>
{
    private readonly ProviderHost host;

    public ProviderRoadTests(ProviderHost host)
    {
        this.host = host;
        (host.Provider.SignsWithAnotherKey, host.Provider.ForgetsNonce) = (false, false);
    }

    [Fact]
    public async Task Leads_to_the_page_that_was_asked_for_and_leaves_an_entry()
    {
        using var browser = host.Browser();
        var back = host.Provider.SignIn(await Start(browser, "/flags"), "u-1", "kirsten", "wind-leads");
        var done = await Follow(browser, back);
        Assert.StartsWith(ExternalSignIn.DonePath, done, StringComparison.Ordinal);
        Assert.Equal("/flags", await Follow(browser, new(done, UriKind.Relative)));
        Assert.Contains("kirsten", await browser.GetStringAsync(new Uri("/flags", UriKind.Relative)), StringComparison.Ordinal);
        Assert.Contains(host.Stores.Record.List(new RecordFilter { Subject = "kirsten" }, 10).Items, e => e.What == PeopleRecordKinds.SignIn && e.Person == "kirsten");
    }

    [Fact]
    public async Task An_address_elsewhere_is_not_followed()
    {
        using var browser = host.Browser();
        var done = await Follow(browser, host.Provider.SignIn(await Start(browser, "https://elsewhere.example/"), "u-2", "linus", "wind-operators"));
        Assert.Equal("/", await Follow(browser, new(done, UriKind.Relative)));
    }

    [Fact]
    public async Task A_token_signed_by_somebody_else_is_refused()
    {
        host.Provider.SignsWithAnotherKey = true;
        await IsRefused("u-3", "mallory");
    }

    [Fact]
    public async Task A_token_of_another_sign_in_is_refused()
    {
        host.Provider.ForgetsNonce = true;
        await IsRefused("u-4", "mallory");
    }

    [Fact]
    public async Task A_code_counts_once_and_in_the_browser_that_asked()
    {
        using var browser = host.Browser();
        using var another = host.Browser();
        var back = host.Provider.SignIn(await Start(browser, "/"), "u-5", "nora", "wind-operators");
        // The browser that did not ask has no correlation cookie.
        Assert.Equal("/sign-in?refused=provider", await Follow(another, back));
        Assert.StartsWith(ExternalSignIn.DonePath, await Follow(browser, back), StringComparison.Ordinal);
        Assert.Equal("/sign-in?refused=provider", await Follow(browser, back));
    }

    [Fact]
    public async Task Who_has_no_group_here_is_refused_with_what_was_found()
    {
        using var browser = host.Browser();
        var done = await Follow(browser, host.Provider.SignIn(await Start(browser, "/"), "u-6", "otto", "canteen"));
        using var answer = await browser.GetAsync(new Uri(done, UriKind.Relative));
        Assert.Equal(HttpStatusCode.Forbidden, answer.StatusCode);
        Assert.Contains("canteen", await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    private async Task IsRefused(string subject, string name)
    {
        using var browser = host.Browser();
        Assert.Equal("/sign-in?refused=provider", await Follow(browser, host.Provider.SignIn(await Start(browser, "/"), subject, name, "wind-leads")));
        Assert.DoesNotContain(host.Stores.People.All(), p => p.Name == name);
    }

    private static async Task<Uri> Start(HttpClient browser, string returnUrl)
    {
        using var answer = await browser.GetAsync(new Uri($"{ExternalSignIn.StartPath}?returnUrl={Uri.EscapeDataString(returnUrl)}", UriKind.Relative));
        Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode);
        return answer.Headers.Location!;
    }

    private static async Task<string> Follow(HttpClient browser, Uri address)
    {
        using var answer = await browser.GetAsync(address);
        Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode);
        return answer.Headers.Location!.ToString();
    }
}
