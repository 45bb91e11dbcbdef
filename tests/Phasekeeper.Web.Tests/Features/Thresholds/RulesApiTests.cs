using System.Net;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Flags;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Thresholds;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.Thresholds;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Thresholds;

/// <summary>Rules by the API and on pages: rehearse, propose, decide; who may; and what is refused with words.</summary>
public sealed class RulesApiTests(WebHost host) : IClassFixture<WebHost>
{
    [Fact]
    public async Task A_rule_is_rehearsed_proposed_and_approved_by_somebody_else()
    {
        var run = await RehearseAsync(600);
        var report = (await AskAsync(Roles.Viewer, HttpMethod.Get, $"rules/rehearsals/{run}")).Json.GetProperty("report");
        Assert.Equal("noticeLimit", report.GetProperty("differences")[0].GetProperty("what").GetString());
        var (proposed, proposal) = await AskAsync(Roles.Analyst, HttpMethod.Post, "rules/proposals", $$"""{"rehearsal":{{run}},"reason":"short gaps"}""");
        Assert.Equal(HttpStatusCode.Created, proposed);
        var id = proposal.GetProperty("id").GetInt64();
        Assert.Equal(HttpStatusCode.Forbidden, (await AskAsync(Roles.Analyst, HttpMethod.Post, $"rules/proposals/{id}/approve", """{"reason":"mine"}""")).Status);
        Assert.Equal(HttpStatusCode.BadRequest, (await AskAsync(Roles.CalibrationLead, HttpMethod.Post, $"rules/proposals/{id}/approve", "{}")).Status);

        var page = await PageAsync(Roles.CalibrationLead, $"/rules/proposals/{id}");
        Assert.Contains("short gaps", page, StringComparison.Ordinal);
        Assert.Contains("Approve", page, StringComparison.Ordinal);
        Assert.Contains("flight rules", page, StringComparison.Ordinal);
        Assert.DoesNotContain(">Approve<", await PageAsync(Roles.Viewer, $"/rules/proposals/{id}"), StringComparison.Ordinal);
        Assert.Contains("You proposed this", await PageAsync(Roles.Analyst, $"/rules/proposals/{id}"), StringComparison.Ordinal);
        Assert.Contains($"/rules/proposals/{id}", await PageAsync(Roles.Viewer, "/rules"), StringComparison.Ordinal);

        var (status, decided) = await AskAsync(Roles.CalibrationLead, HttpMethod.Post, $"rules/proposals/{id}/approve", """{"reason":"agreed"}""");
        Assert.Equal((HttpStatusCode.OK, "approved"), (status, decided.GetProperty("state").GetString()));
        Assert.Equal(HttpStatusCode.Conflict, (await AskAsync(Roles.CalibrationLead, HttpMethod.Post, $"rules/proposals/{id}/decline", """{"reason":"no"}""")).Status);
        await host.WaitUntilIdle();
        var rule = (await AskAsync(Roles.Viewer, HttpMethod.Get, "rules")).Json.GetProperty("items").EnumerateArray().Single(r => r.GetProperty("id").GetString() == "data-gap");
        Assert.StartsWith("2-", rule.GetProperty("version").GetString(), StringComparison.Ordinal);
        Assert.Equal(2, (await AskAsync(Roles.Viewer, HttpMethod.Get, "rules/versions")).Json.GetProperty("items").GetArrayLength());
        Assert.Contains("data-gap", await PageAsync(Roles.Viewer, "/rules?before=1&after=2"), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("""{"kind":"data-gap","parameters":{"noticeLimit":-1}}""", "$.rule.parameters.noticeLimit")]
    [InlineData("""{"kind":"data-gap","parameters":{"noticeLimit":5000}}""", "rising limits")]
    [InlineData("""{"kind":"none"}""", "expected one of")]
    [InlineData("""7""", "expected an object")]
    public async Task A_rule_that_is_none_is_refused_with_the_place(string rule, string words)
    {
        var (status, json) = await AskAsync(Roles.Analyst, HttpMethod.Post, "rules/rehearsals", $$"""{"rule":{{rule}}}""");
        Assert.Equal(HttpStatusCode.BadRequest, status);
        Assert.Contains(words, json.GetProperty("detail").GetString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("""{"rule":"data-gap","from":"2031-03-01T00:00:00Z","to":"2031-03-01T00:00:00Z","what":"x"}""")]
    [InlineData("""{"rule":"none","from":"2031-03-01T00:00:00Z","to":"2031-03-02T00:00:00Z","what":"x"}""")]
    [InlineData("""{"rule":"data-gap","from":"2031-03-01T00:00:00Z","to":"2031-03-02T00:00:00Z","what":" "}""")]
    public async Task An_event_without_rule_time_or_name_is_refused(string body) =>
        Assert.Equal(HttpStatusCode.BadRequest, (await AskAsync(Roles.Analyst, HttpMethod.Post, "rules/events", body)).Status);

    [Fact]
    public void A_form_is_read_like_a_rules_file()
    {
        var rule = RuleCatalog.Of("data-gap").Declare("data-gap");
        var edit = new RuleEdit(rule);
        Assert.Equal(rule.VersionText, edit.Read().VersionText);
        edit.Numbers["noticeLimit"] = "";
        Assert.True(double.IsNaN(edit.Read()["noticeLimit"]));
        edit.Numbers["noticeLimit"] = "much";
        Assert.Contains("notice limit: found 'much'", Assert.Throws<DecisionRefusedException>(edit.Read).Message, StringComparison.Ordinal);
        edit.Numbers["noticeLimit"] = "9999";
        Assert.Contains("rising limits", Assert.Throws<DecisionRefusedException>(edit.Read).Message, StringComparison.Ordinal);
        edit.Numbers["noticeLimit"] = "300";
        edit.Numbers["quietOrbits"] = "1.5";
        Assert.Throws<DecisionRefusedException>(edit.Read);
    }

    private async Task<long> RehearseAsync(int limit)
    {
        var (status, json) = await AskAsync(Roles.Analyst, HttpMethod.Post, "rules/rehearsals", $$$$"""{"rule":{"kind":"data-gap","parameters":{"noticeLimit":{{{{limit}}}}}}}""");
        Assert.Equal(HttpStatusCode.Accepted, status);
        var id = json.GetProperty("id").GetInt64();
        await host.Services.GetRequiredService<Rehearsals>().Find(id)!.Ended;
        return id;
    }

    private async Task<(HttpStatusCode Status, JsonElement Json)> AskAsync(string role, HttpMethod method, string call, string? body = null)
    {
        using var client = await ClientAsync(role);
        using var request = new HttpRequestMessage(method, ApiClient.Address(call)) { Content = body is null ? null : new StringContent(body, Encoding.UTF8, "application/json") };
        using var answer = await client.SendAsync(request);
        return (answer.StatusCode, await answer.Content.ReadFromJsonAsync<JsonElement>());
    }

    private async Task<string> PageAsync(string role, string address)
    {
        using var client = await ClientAsync(role);
        return await client.GetStringAsync(new Uri(address, UriKind.Relative));
    }

    private async Task<HttpClient> ClientAsync(string role)
    {
        var client = host.CreateClient(new WebApplicationFactoryClientOptions { HandleCookies = false });
        client.DefaultRequestHeaders.Add("Cookie", $"{DemoAccess.RoleCookie}={role}");
        await host.Services.GetRequiredService<PipelineEngine>().Ready;
        return client;
    }
}
