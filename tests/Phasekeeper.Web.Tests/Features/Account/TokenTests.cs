using System.Net;
using System.Net.Http.Headers;
using System.Text.RegularExpressions;
using Dapper;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Account;

/// <summary>Personal tokens: shown once, narrowed by scope and by what their owner may now, ended by time, revocation and lock.</summary>
public sealed partial class TokenTests(SignInHost host) : IClassFixture<SignInHost>
{
    private const string Password = "four words for a test";

    [Fact]
    public async Task A_token_is_shown_once_and_only_its_hash_is_kept()
    {
        using var browser = await host.New("otto", Password, Roles.Operator);
        var token = await Make(browser, Roles.Viewer);
        Assert.Equal(HttpStatusCode.OK, await Ask(token, HttpMethod.Get, "flags"));
        Assert.DoesNotContain(token, await browser.GetStringAsync(new Uri("/account", UriKind.Relative)), StringComparison.Ordinal);
        var stored = host.Stores.Database.Read(c => c.Query<string>("SELECT name || scopes || hex(hash) FROM personToken").AsList());
        Assert.DoesNotContain(stored, row => row.Contains(token, StringComparison.OrdinalIgnoreCase) || row.Contains(token[BearerTokens.Prefix.Length..], StringComparison.OrdinalIgnoreCase));
        Assert.DoesNotContain(host.Stores.Record.List(new RecordFilter(), 1000).Items, e => (e.After ?? "").Contains(token, StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_token_for_intake_brings_data_and_nothing_else()
    {
        using var browser = await host.New("paula", Password, Roles.Operator);
        var token = await Make(browser, TokenScopes.Intake);
        Assert.Equal(HttpStatusCode.OK, await Ask(token, HttpMethod.Post, "packets"));
        Assert.Equal(HttpStatusCode.OK, await Ask(token, HttpMethod.Get, "ingest"));
        Assert.Equal(HttpStatusCode.Forbidden, await Ask(token, HttpMethod.Get, "flags"));
        Assert.Equal(HttpStatusCode.Forbidden, await Ask(token, HttpMethod.Post, "quarantine/1/discard"));
    }

    [Fact]
    public async Task A_token_to_look_changes_nothing_though_its_owner_may()
    {
        using var browser = await host.New("quirin", Password, Roles.Analyst);
        var token = await Make(browser, Roles.Viewer);
        Assert.Equal(HttpStatusCode.OK, await Ask(token, HttpMethod.Get, "flags"));
        Assert.Equal(HttpStatusCode.Forbidden, await Ask(token, HttpMethod.Post, "packets"));
    }

    [Fact]
    public async Task Nobody_makes_a_token_for_more_than_they_may()
    {
        using var browser = await host.New("rosa", Password, Roles.Viewer);
        foreach (var scope in new[] { TokenScopes.Intake, Roles.Operator, Roles.Administrator, "everything" })
        {
            using var answer = await Send(browser, scope, "90");
            Assert.Contains($"Found the scope &#x27;{scope}&#x27;", await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        }
        Assert.Empty(host.Stores.Tokens.Of(host.Stores.People.All().Single(p => p.Name == "rosa").Id));
    }

    [Fact]
    public async Task A_token_loses_what_its_owner_loses_at_once()
    {
        using var browser = await host.New("samuel", Password, Roles.Operator);
        var (packets, look) = (await Make(browser, TokenScopes.Intake), await Make(browser, Roles.Viewer));
        var id = host.Stores.People.All().Single(p => p.Name == "samuel").Id;
        using var administrator = await host.Administrator();
        using (await SignInHost.Send(administrator, "/people", "roles", ("Asked.Id", id), ("Asked.Roles", Roles.Viewer))) { }
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask(packets, HttpMethod.Post, "packets"));
        Assert.Equal(HttpStatusCode.OK, await Ask(look, HttpMethod.Get, "flags"));
        using (await SignInHost.Send(administrator, "/people", "step", ("Asked.Id", id), ("Asked.Step", "lock"))) { }
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask(look, HttpMethod.Get, "flags"));
    }

    [Fact]
    public async Task A_revoked_token_is_refused_at_once()
    {
        using var browser = await host.New("thea", Password, Roles.Operator);
        var token = await Make(browser, Roles.Viewer);
        var id = host.Stores.Tokens.Of(host.Stores.People.All().Single(p => p.Name == "thea").Id).Single().Id;
        using var other = await host.New("ulrich", Password, Roles.Operator);
        using (var foreign = await SignInHost.Send(other, "/account", "revoke", ("id", id))) Assert.Contains("asks for the role &#x27;administrator&#x27;", await foreign.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.OK, await Ask(token, HttpMethod.Get, "flags"));
        using (await SignInHost.Send(browser, "/account", "revoke", ("id", id))) { }
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask(token, HttpMethod.Get, "flags"));
    }

    [Fact]
    public async Task A_token_ends_with_its_days()
    {
        using var browser = await host.New("vera", Password, Roles.Viewer);
        var token = await Make(browser, Roles.Viewer, "1");
        foreach (var days in new[] { "0", "367", "a week" })
        {
            using var answer = await Send(browser, Roles.Viewer, days);
            Assert.Contains($"Found &#x27;{days}&#x27; days", await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        }
        var clock = new FakeTimeProvider(TimeProvider.System.GetUtcNow());
        var tokens = ActivatorUtilities.CreateInstance<BearerTokens>(host.Services, clock);
        Assert.Null((await tokens.AuthenticateAsync(Request(token))).Refusal);
        clock.Advance(TimeSpan.FromHours(25));
        Assert.Contains("expired at", (await tokens.AuthenticateAsync(Request(token))).Refusal, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_token_makes_no_tokens()
    {
        using var browser = await host.New("walter", Password, Roles.Analyst);
        var token = await Make(browser, Roles.Analyst);
        using var client = host.Browser();
        client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", token);
        Assert.DoesNotContain("Make a token", await client.GetStringAsync(new Uri("/account", UriKind.Relative)), StringComparison.Ordinal);
    }

    private static Microsoft.AspNetCore.Http.HttpRequest Request(string token)
    {
        var context = new Microsoft.AspNetCore.Http.DefaultHttpContext();
        context.Request.Headers.Authorization = "Bearer " + token;
        return context.Request;
    }

    private async Task<HttpStatusCode> Ask(string token, HttpMethod method, string call)
    {
        using var client = host.Browser();
        using var request = new HttpRequestMessage(method, ApiClient.Address(call));
        request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", token);
        using var answer = await client.SendAsync(request);
        return answer.StatusCode;
    }

    private static Task<HttpResponseMessage> Send(HttpClient browser, string scope, string days) =>
        SignInHost.Send(browser, "/account", "token", ("Wish.Name", "a script"), ("Wish.Scope", scope), ("Wish.Days", days));

    private static async Task<string> Make(HttpClient browser, string scope, string days = "90")
    {
        using var answer = await Send(browser, scope, days);
        var html = await answer.Content.ReadAsStringAsync();
        var shown = Shown().Match(html);
        Assert.True(shown.Success, html);
        return shown.Groups[1].Value;
    }

    [GeneratedRegex("account-token\"[^>]*>(pk_[0-9a-f]{64})<")]
    private static partial Regex Shown();
}
