using System.Net;
using System.Text.RegularExpressions;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.HttpOverrides;
using Microsoft.AspNetCore.Mvc.Testing;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.SignIn;
using Phasekeeper.Web.Hosting;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Hosting;

/// <summary>What a proxy says about its callers, and what anybody else says.</summary>
public sealed partial class TrustedProxiesTests : IClassFixture<TrustedProxiesTests.BehindProxy>, IDisposable
{
    // RFC 5737: addresses for documentation.
    private const string Proxy = "192.0.2.1", Caller = "203.0.113.5", Stranger = "198.51.100.9";
    private readonly BehindProxy host;

    public TrustedProxiesTests(BehindProxy host) => this.host = host;

    public void Dispose() => host.Caller = IPAddress.Loopback;

    [Theory]
    [InlineData(Caller)]
    [InlineData("10.66.66.66, " + Caller)] // what the caller wrote stands before what the proxy added
    public async Task From_a_proxy_of_ours_address_and_encryption_count(string forwarded)
    {
        host.Caller = IPAddress.Parse(Proxy);
        var cookies = await SignIn(forwarded);
        Assert.Equal(Caller, NewestSignIn().Address);
        Assert.Equal(2, cookies.Length);
        Assert.All(cookies, c => Assert.Contains("secure", c, StringComparison.OrdinalIgnoreCase));
    }

    [Fact]
    public async Task From_anybody_else_they_count_for_nothing()
    {
        host.Caller = IPAddress.Parse(Stranger);
        var cookies = await SignIn(Caller);
        Assert.Equal(Stranger, NewestSignIn().Address);
        Assert.All(cookies, c => Assert.DoesNotContain("secure", c, StringComparison.OrdinalIgnoreCase));
    }

    [Theory]
    [InlineData(Proxy, "https://localhost/")]
    [InlineData(Stranger, "http://localhost/")]
    public async Task A_provider_sends_the_browser_back_to_the_address_that_the_proxy_serves(string from, string expected)
    {
        host.Caller = IPAddress.Parse(from);
        Assert.StartsWith(expected, await RedirectAsync(host), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_forwarded_name_counts_where_the_names_are_listed()
    {
        await using var named = new BehindProxy { Hosts = "localhost;winds.example" };
        named.Caller = IPAddress.Parse(Proxy);
        Assert.StartsWith("https://winds.example/", await RedirectAsync(named, "winds.example"), StringComparison.Ordinal);
        // Another name is left unread.
        Assert.StartsWith("https://localhost/", await RedirectAsync(named, "elsewhere.example"), StringComparison.Ordinal);
        host.Caller = IPAddress.Parse(Proxy);
        Assert.StartsWith("https://localhost/", await RedirectAsync(host, "winds.example"), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(Caller)]
    [InlineData("127.0.0.1")]
    public async Task Who_comes_through_a_proxy_on_this_machine_is_not_signed_in_by_the_demo_nor_by_the_first_token(string forwarded)
    {
        await using var demo = new DemoBehindProxy();
        using var client = demo.CreateClient();
        using (var plain = await client.GetAsync(ApiClient.Address("flags"))) Assert.Equal(HttpStatusCode.OK, plain.StatusCode);
        foreach (var token in new[] { null, WebHost.Token })
        {
            using var request = Request("/api/v1/flags", forwarded);
            if (token is not null) request.Headers.Authorization = new("Bearer", token);
            using var answer = await client.SendAsync(request);
            Assert.Equal(HttpStatusCode.Unauthorized, answer.StatusCode);
        }
    }

    [Fact]
    public void Nobody_is_believed_unless_named()
    {
        Assert.Null(TrustedProxies.Options(null, "*"));
        Assert.Null(TrustedProxies.Options(" ", "*"));
        var options = TrustedProxies.Options("127.0.0.1, 10.1.0.0/16;2001:db8::7", "*")!;
        Assert.Equal(["127.0.0.1", "2001:db8::7"], options.KnownProxies.Select(p => p.ToString()));
        Assert.Equal("10.1.0.0/16", Assert.Single(options.KnownIPNetworks).ToString());
        Assert.Equal(ForwardedHeaders.XForwardedFor | ForwardedHeaders.XForwardedProto, options.ForwardedHeaders);
    }

    [Theory]
    [InlineData("proxy.example")]
    [InlineData("10.1.0.0/40")]
    public void What_is_no_address_is_refused_with_what_was_found_and_expected(string entry)
    {
        var told = Assert.Throws<InvalidOperationException>(() => TrustedProxies.Options("127.0.0.1 " + entry, "*")).Message;
        Assert.Contains($"Phasekeeper:Proxies says '{entry}'", told, StringComparison.Ordinal);
        Assert.Contains("expected", told, StringComparison.Ordinal);
    }

    private RecordEntry NewestSignIn() => host.Stores.Record.List(new RecordFilter { What = PeopleRecordKinds.SignIn }, 1).Items.Single();

    // Cookies by hand: a browser's jar would not send secure ones on the test server's plain line.
    private async Task<string[]> SignIn(string forwarded)
    {
        using var browser = host.CreateClient(new WebApplicationFactoryClientOptions { AllowAutoRedirect = false, HandleCookies = false });
        using var asked = Request("/sign-in", forwarded);
        using var page = await browser.SendAsync(asked);
        var antiforgery = page.Headers.GetValues("Set-Cookie").Single();
        using var form = Request("/sign-in", forwarded);
        form.Method = HttpMethod.Post;
        form.Headers.Add("Cookie", antiforgery.Split(';')[0]);
        form.Content = new FormUrlEncodedContent([new("_handler", "sign-in"), new("__RequestVerificationToken", WebUtility.HtmlDecode(AntiforgeryField().Match(await page.Content.ReadAsStringAsync()).Groups[1].Value)),
            new("Given.Name", FirstAdministrator.Name), new("Given.Password", SignInHost.AdminPassword)]);
        using var done = await browser.SendAsync(form);
        Assert.Equal(HttpStatusCode.Redirect, done.StatusCode);
        return [antiforgery, .. done.Headers.GetValues("Set-Cookie").Where(c => c.StartsWith(SignInRegistration.Cookie + "=", StringComparison.Ordinal))];
    }

    private static async Task<string> RedirectAsync(BehindProxy host, string? forwardedHost = null)
    {
        using var browser = host.CreateClient(new WebApplicationFactoryClientOptions { AllowAutoRedirect = false });
        using var request = Request(ExternalSignIn.StartPath, Caller);
        if (forwardedHost is not null) request.Headers.Add("X-Forwarded-Host", forwardedHost);
        using var answer = await browser.SendAsync(request);
        return Uri.UnescapeDataString(RedirectField().Match(answer.Headers.Location!.Query).Groups[1].Value);
    }

    private static HttpRequestMessage Request(string path, string forwarded)
    {
        var request = new HttpRequestMessage(HttpMethod.Get, new Uri(path, UriKind.Relative));
        request.Headers.Add("X-Forwarded-For", forwarded);
        request.Headers.Add("X-Forwarded-Proto", "https");
        return request;
    }

    [GeneratedRegex("name=\"__RequestVerificationToken\" value=\"([^\"]+)\"")]
    private static partial Regex AntiforgeryField();

    [GeneratedRegex("redirect_uri=([^&]+)")]
    private static partial Regex RedirectField();

    /// <summary>A host that knows one proxy, and a provider.</summary>
    public sealed class BehindProxy : ProviderHost
    {
        /// <summary>Names under which it may be asked for; null: any.</summary>
        public string? Hosts { get; init; }

        /// <inheritdoc/>
        protected override void ConfigureWebHost(IWebHostBuilder builder)
        {
            base.ConfigureWebHost(builder);
            builder.UseSetting(TrustedProxies.Setting, Proxy);
            if (Hosts is not null) builder.UseSetting("AllowedHosts", Hosts);
        }
    }

    private sealed class DemoBehindProxy : WebHost
    {
        protected override void ConfigureWebHost(IWebHostBuilder builder)
        {
            base.ConfigureWebHost(builder);
            builder.UseSetting(TrustedProxies.Setting, "127.0.0.1");
        }
    }
}
