using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Api.Access;

/// <summary>The bootstrap token, and the demo's sign-in, which is for who works at the machine itself.</summary>
public sealed class AccessTests : IClassFixture<WebHost>, IDisposable
{
    // No such call exists: with access the answer is 404, without it 401.
    private const string SomeCall = "/api/v1/no-such-call";

    private readonly WebHost host;

    public AccessTests(WebHost host) => this.host = host;

    // The next test begins at this machine again.
    public void Dispose() => host.Caller = IPAddress.Loopback;

    [Fact]
    public async Task A_wrong_token_is_refused_with_problem_details_that_say_what_to_do()
    {
        var answer = await Ask(token: "guess");
        Assert.Equal(HttpStatusCode.Unauthorized, answer.StatusCode);
        Assert.Equal("application/problem+json", answer.Content.Headers.ContentType!.MediaType);
        var problem = await answer.Content.ReadFromJsonAsync<ProblemDetails>();
        Assert.Contains("Phasekeeper:Bootstrap:Token", problem!.Detail, StringComparison.Ordinal);
        Assert.Equal("Bearer", answer.Headers.WwwAuthenticate.Single().Scheme);
    }

    [Fact]
    public async Task The_right_token_is_let_in_from_loopback() =>
        Assert.Equal(HttpStatusCode.NotFound, (await Ask(token: WebHost.Token)).StatusCode);

    [Fact]
    public async Task The_right_token_is_refused_from_another_machine()
    {
        host.Caller = IPAddress.Parse("192.0.2.7"); // RFC 5737: an address for documentation
        Assert.Equal(HttpStatusCode.Unauthorized, (await Ask(token: WebHost.Token)).StatusCode);
    }

    [Fact]
    public async Task The_demo_signs_in_who_works_at_this_machine_and_nobody_from_another()
    {
        Assert.Equal(HttpStatusCode.NotFound, (await Ask()).StatusCode);
        host.Caller = IPAddress.Parse("192.0.2.7");
        Assert.Equal(HttpStatusCode.Unauthorized, (await Ask()).StatusCode);
        using var browser = host.CreateClient(new WebApplicationFactoryClientOptions { AllowAutoRedirect = false });
        using var page = await browser.GetAsync(new Uri("/flags?state=raised", UriKind.Relative));
        Assert.Equal(HttpStatusCode.Redirect, page.StatusCode);
        Assert.Equal("/sign-in?returnUrl=%2Fflags%3Fstate%3Draised", page.Headers.Location!.ToString());
    }

    [Theory]
    [InlineData("X-Forwarded-For", "198.51.100.1")]
    [InlineData("Forwarded", "for=198.51.100.1")]
    [InlineData("X-Original-For", "198.51.100.1")]
    public async Task A_proxy_on_this_machine_does_not_make_its_callers_local(string header, string value)
    {
        Assert.Equal(HttpStatusCode.Unauthorized, (await Ask(header: header, value: value)).StatusCode);
        Assert.Equal(HttpStatusCode.Unauthorized, (await Ask(token: WebHost.Token, header: header, value: value)).StatusCode);
    }

    [Fact]
    public async Task A_page_of_another_site_in_the_same_browser_is_refused() =>
        Assert.Equal(HttpStatusCode.Unauthorized, (await Ask(header: "Sec-Fetch-Site", value: "cross-site")).StatusCode);

    [Fact]
    public async Task A_foreign_name_that_leads_to_this_machine_is_refused() =>
        Assert.Equal(HttpStatusCode.Unauthorized, (await Ask(header: "Host", value: "rebound.example")).StatusCode);

    [Fact]
    public void The_demo_is_offered_without_a_profile_and_by_no_setting_beside_one()
    {
        using var own = new SignInHost();
        Assert.False(own.Services.GetRequiredService<DemoAccess>().IsOffered);
    }

    [Fact]
    public async Task The_demo_lets_choose_a_role_and_says_so_on_the_page()
    {
        using var browser = host.CreateClient(new WebApplicationFactoryClientOptions { AllowAutoRedirect = false });
        Assert.Contains("Demo, as", await browser.GetStringAsync(new Uri("/help", UriKind.Relative)), StringComparison.Ordinal);
        using var viewer = await Choose(browser, Roles.Viewer, withToken: true);
        Assert.Equal(HttpStatusCode.Redirect, viewer.StatusCode);
        Assert.Equal(Roles.Viewer, (await browser.GetFromJsonAsync<Dictionary<string, string>>(new Uri("/api/v1/me", UriKind.Relative)))!["role"]);
        Assert.Contains("value=\"viewer\" selected", await browser.GetStringAsync(new Uri("/help", UriKind.Relative)), StringComparison.Ordinal);
        using var forged = await Choose(browser, Roles.Administrator, withToken: false);
        Assert.Equal(HttpStatusCode.BadRequest, forged.StatusCode);
    }

    [Theory]
    [InlineData("/healthz")]
    [InlineData("/readyz")]
    [InlineData("/metrics")]
    public async Task Probes_need_no_access(string path)
    {
        host.Caller = IPAddress.Parse("192.0.2.7");
        Assert.Equal(HttpStatusCode.OK, (await host.CreateClient().GetAsync(new Uri(path, UriKind.Relative))).StatusCode);
    }

    private static async Task<HttpResponseMessage> Choose(HttpClient browser, string role, bool withToken)
    {
        var html = await browser.GetStringAsync(new Uri("/help", UriKind.Relative));
        var token = System.Text.RegularExpressions.Regex.Match(html, "name=\"__RequestVerificationToken\" value=\"([^\"]+)\"").Groups[1].Value;
        using var body = new FormUrlEncodedContent([new("role", role), new("back", "/help"), .. withToken ? [KeyValuePair.Create("__RequestVerificationToken", token)] : Array.Empty<KeyValuePair<string, string>>()]);
        return await browser.PostAsync(new Uri("/demo/role", UriKind.Relative), body);
    }

    private async Task<HttpResponseMessage> Ask(string? token = null, string? header = null, string? value = null)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, SomeCall);
        if (token is not null) request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", token);
        if (header is not null) request.Headers.TryAddWithoutValidation(header, value);
        return await host.CreateClient().SendAsync(request);
    }
}
