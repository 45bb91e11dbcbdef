using System.Net;
using System.Text.RegularExpressions;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.SignIn;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>The application as on a mission of one's own: nobody is let in without password or token.</summary>
public partial class SignInHost : WebHost
{
    /// <summary>Password of the first administrator, from the setting.</summary>
    public const string AdminPassword = "a long password of the first start";

    /// <summary>Wait between two looks at the security stamp.</summary>
    public static readonly TimeSpan Revalidation = TimeSpan.FromMilliseconds(200);

    /// <inheritdoc/>
    protected override bool SignsIn => false;

    /// <summary>How many wrong attempts are answered at once.</summary>
    protected virtual AttemptRates Rates => AttemptRates.Default;

    /// <inheritdoc/>
    protected override void ConfigureWebHost(IWebHostBuilder builder)
    {
        base.ConfigureWebHost(builder);
        builder.UseSetting("Phasekeeper:Bootstrap:AdminPassword", AdminPassword);
        builder.ConfigureServices(services => services.AddSingleton(new SignInTimes(Revalidation)).AddSingleton(Rates));
    }

    /// <summary>A browser with nobody signed in.</summary>
    public HttpClient Browser() => CreateClient(new WebApplicationFactoryClientOptions { AllowAutoRedirect = false });

    /// <summary>A browser in which somebody has signed in.</summary>
    public async Task<HttpClient> SignedIn(string name, string password)
    {
        var browser = Browser();
        using var answer = await SignIn(browser, name, password);
        Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode);
        return browser;
    }

    /// <summary>The administrator's browser.</summary>
    public Task<HttpClient> Administrator() => SignedIn(FirstAdministrator.Name, AdminPassword);

    /// <summary>Sends the sign-in form.</summary>
    public static Task<HttpResponseMessage> SignIn(HttpClient browser, string name, string password) =>
        Send(browser, AccessHandler.SignInPath, "sign-in", ("Given.Name", name), ("Given.Password", password));

    /// <summary>Sends a form of a page, with the antiforgery token that the page gave.</summary>
    public static async Task<HttpResponseMessage> Send(HttpClient browser, string page, string form, params (string Name, string Value)[] fields) => await Post(browser, page, await FormToken(browser, page), form, fields);

    /// <summary>The antiforgery token of a page's forms.</summary>
    public static async Task<string> FormToken(HttpClient browser, string page) =>
        WebUtility.HtmlDecode(AntiforgeryField().Match(await browser.GetStringAsync(new Uri(page, UriKind.Relative))).Groups[1].Value);

    /// <summary>Sends a form with an antiforgery token that is at hand.</summary>
    public static async Task<HttpResponseMessage> Post(HttpClient browser, string page, string token, string form, params (string Name, string Value)[] fields)
    {
        using var body = new FormUrlEncodedContent([new("_handler", form), new("__RequestVerificationToken", token), .. fields.Select(f => KeyValuePair.Create(f.Name, f.Value))]);
        return await browser.PostAsync(new Uri(page, UriKind.Relative), body);
    }

    /// <summary>Adds a person as the administrator does; gives the password to be changed.</summary>
    public async Task<string> Add(string name, params string[] roles)
    {
        using var administrator = await Administrator();
        using var answer = await Send(administrator, "/people", "add", [("Asked.Name", name), .. roles.Select(role => ("Asked.Roles", role))]);
        var html = await answer.Content.ReadAsStringAsync();
        var shown = Secret().Match(html);
        Assert.True(shown.Success, html);
        return shown.Groups[1].Value;
    }

    /// <summary>A browser of a new person who has chosen a password of their own.</summary>
    public async Task<HttpClient> New(string name, string password, params string[] roles)
    {
        var made = await Add(name, roles);
        var browser = await SignedIn(name, made);
        using var changed = await Send(browser, "/account", "password", ("Passwords.Present", made), ("Passwords.Chosen", password), ("Passwords.Repeated", password));
        Assert.Contains("The password is changed.", await changed.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        return browser;
    }

    [GeneratedRegex("name=\"__RequestVerificationToken\" value=\"([^\"]+)\"")]
    private static partial Regex AntiforgeryField();

    [GeneratedRegex("people-secret\"[^>]*>([^<]+)<")]
    private static partial Regex Secret();
}
