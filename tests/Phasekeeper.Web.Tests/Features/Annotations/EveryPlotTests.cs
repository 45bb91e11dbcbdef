using System.Globalization;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Flags;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Thresholds;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.Annotations;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Annotations;

/// <summary>A note stands on every plot of its time: all addresses of plots from the route table, so that a new one without notes fails until it has them, or says here why it has no time.</summary>
[Collection(MissionHostGroup.Name)]
public sealed class EveryPlotTests(MissionHost host, WebHost empty) : IClassFixture<WebHost>
{
    private const string Prefix = "/api/v1/plots", Text = "pinned for all plots";
    private static readonly Actor Kim = new("kim", Roles.Operator, null);

    // Plots of times, each with an address that has something to show.
    private static readonly Dictionary<string, string> OfTimes = new()
    {
        ["/today"] = "/today?from={from}&to={to}",
        ["/completeness"] = "/completeness?from={from}&to={to}",
        ["/channels"] = "/channels?c={channel}&from={from}&to={to}",
        ["/drift"] = "/drift?s=thermal-slope~{view}~{line}&range=all",
        ["/flags/{id}"] = "/flags/{flag}",
        ["/rules/rehearsals/{id}"] = "/rules/rehearsals/{rehearsal}?from={from}&to={to}",
        ["/rules/proposals/{id}"] = "/rules/proposals/{proposal}?from={from}&to={to}",
        ["/orbit/{number:int}/temperatures"] = "/orbit/{orbit}/temperatures",
        ["/orbit/{number:int}/phase"] = "/orbit/{orbit}/phase?view={view}&line={line}",
        ["/orbit/{number:int}/shift"] = "/orbit/{orbit}/shift",
        ["/orbit/{number:int}/visibility"] = "/orbit/{orbit}/visibility",
        ["/winds/day"] = "/winds/day?date={date}",
        ["/winds/orbit/{number:int}"] = "/winds/orbit/{orbit}",
        ["/winds/compare/days"] = "/winds/compare/days?date={date}&bin=0",
        ["/winds/budget/{number:int}/along"] = "/winds/budget/{orbit}/along?altitude=110",
        ["/winds/corrections/{number:int}/panels"] = "/winds/corrections/{orbit}/panels?off=rotation",
    };

    // Plots without an axis of time, and why.
    private static readonly Dictionary<string, string> WithoutTime = new()
    {
        ["/flags/{id}/seen/{plot:long}"] = "kept as it was seen, with the notes of then",
        ["/orbit/{number:int}/image"] = "one exposure: samples by rows",
        ["/orbit/{number:int}/row"] = "one row of one exposure: samples",
        ["/orbit/{number:int}/spikes"] = "a map",
        ["/vouch/scatter"] = "wind against wind",
        ["/vouch/bias"] = "bias by altitude, local time or view",
        ["/vouch/geometry"] = "coverage by local time and latitude",
        ["/winds/profile/{number:int}"] = "one profile: wind by altitude",
        ["/winds/map"] = "a map",
        ["/winds/compare/maps"] = "local time by latitude",
        ["/winds/budget/{number:int}/altitude"] = "variance by altitude",
        ["/winds/corrections/{number:int}/sizes"] = "sizes by correction",
        ["/coefficients/{id:long}/residuals"] = "evidence as it was computed, by temperature or measure",
        ["/coefficients/{id:long}/winds"] = "changes of winds by altitude or latitude",
    };

    /// <summary>Routes of plots of times.</summary>
    public static TheoryData<string> Routes => [.. OfTimes.Keys];

    [Fact]
    public void Every_plot_is_of_times_or_says_why_it_is_not()
    {
        string[] routes = [.. host.Services.GetRequiredService<EndpointDataSource>().Endpoints.OfType<RouteEndpoint>().Select(e => "/" + e.RoutePattern.RawText!.TrimStart('/'))
            .Where(r => r.StartsWith(Prefix + "/", StringComparison.Ordinal)).Select(r => r[Prefix.Length..]).Distinct().Order(StringComparer.Ordinal)];
        Assert.Equal([.. OfTimes.Keys.Concat(WithoutTime.Keys).Order(StringComparer.Ordinal)], routes);
    }

    [Theory]
    [MemberData(nameof(Routes))]
    public async Task A_note_stands_on_the_plot(string route)
    {
        // Flags and rehearsals are brought in here: on a mission of their own, since others count them.
        var own = route.StartsWith("/flags", StringComparison.Ordinal) || route.StartsWith("/rules", StringComparison.Ordinal);
        WebHost at = own ? empty : host;
        using var client = at.CreateClient();
        await at.Services.GetRequiredService<PipelineEngine>().Ready;
        var address = own ? await OwnAddressAsync(OfTimes[route]) : Address(OfTimes[route]);
        async Task<JsonElement> PlotAsync() => await client.GetFromJsonAsync<JsonElement>(new Uri(Prefix + address, UriKind.Relative));
        Assert.DoesNotContain(Text, (await PlotAsync()).GetRawText(), StringComparison.Ordinal);
        var desk = at.Services.GetRequiredService<AnnotationDesk>();
        var id = await desk.AddAsync(new(MissionHost.Span.From, MissionHost.Span.To, Text), Kim);
        try
        {
            var plot = await PlotAsync();
            Assert.Contains(plot.GetProperty("notes").EnumerateArray(), n => n.GetProperty("text").GetString() == Text);
            Assert.Contains($"“{Text}” (kim)", plot.GetProperty("summary").GetString(), StringComparison.Ordinal);
        }
        finally
        {
            // Other tests of the same mission find its plots as they were.
            await desk.RetireAsync(id, Kim);
        }
        Assert.DoesNotContain(Text, (await PlotAsync()).GetRawText(), StringComparison.Ordinal);
    }

    private static string Timed(string pattern) =>
        pattern.Replace("{from}", MissionHost.Span.From.ToString(), StringComparison.Ordinal).Replace("{to}", MissionHost.Span.To.ToString(), StringComparison.Ordinal);

    private string Address(string pattern)
    {
        var mission = host.Engine.Mission!;
        var channel = mission.Plan.Channels.First(c => host.Stores.Telemetry.Decimated(c.Name, MissionHost.Span.From, MissionHost.Span.To, 10).Points.Count > 0).Name;
        return Timed(pattern).Replace("{orbit}", host.Orbit.ToString(CultureInfo.InvariantCulture), StringComparison.Ordinal).Replace("{view}", mission.Instrument!.Views[0].Id, StringComparison.Ordinal)
            .Replace("{line}", mission.Instrument.Lines[0].Id, StringComparison.Ordinal).Replace("{date}", MissionHost.Span.To.UtcDate.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture), StringComparison.Ordinal)
            .Replace("{channel}", Uri.EscapeDataString(channel), StringComparison.Ordinal);
    }

    private async Task<string> OwnAddressAsync(string pattern)
    {
        var address = Timed(pattern);
        if (address.Contains("{flag}", StringComparison.Ordinal))
            return address.Replace("{flag}", (await SampleFlag.RaiseAsync(empty, 4181, MissionHost.Span.From, new FlagEvidence(MissionHost.Span.From, MissionHost.Span.To))).Id, StringComparison.Ordinal);
        var run = (await AskAsync("rules/rehearsals", """{"rule":{"kind":"data-gap","parameters":{"noticeLimit":600}}}""")).GetProperty("id").GetInt64();
        await empty.Services.GetRequiredService<Rehearsals>().Find(run)!.Ended;
        if (address.Contains("{rehearsal}", StringComparison.Ordinal)) return address.Replace("{rehearsal}", run.ToString(CultureInfo.InvariantCulture), StringComparison.Ordinal);
        var proposal = (await AskAsync("rules/proposals", $$"""{"rehearsal":{{run}},"reason":"short gaps"}""")).GetProperty("id").GetInt64();
        return address.Replace("{proposal}", proposal.ToString(CultureInfo.InvariantCulture), StringComparison.Ordinal);
    }

    private async Task<JsonElement> AskAsync(string call, string body)
    {
        using var client = empty.CreateClient(new WebApplicationFactoryClientOptions { HandleCookies = false });
        client.DefaultRequestHeaders.Add("Cookie", $"{DemoAccess.RoleCookie}={Roles.Analyst}");
        using var content = new StringContent(body, Encoding.UTF8, "application/json");
        using var answer = await client.PostAsync(ApiClient.Address(call), content);
        answer.EnsureSuccessStatusCode();
        return await answer.Content.ReadFromJsonAsync<JsonElement>();
    }
}
