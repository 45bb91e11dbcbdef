using System.Net;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Flags;

[Collection(ShortMission.Collection)]
public sealed class FlagsApiTests : IAsyncLifetime
{
    // contract.md section 4, and behind it what people did.
    private const string Columns = "id,rule,subject,view,line,severity,state,from,to,firstOrbit,lastOrbit,value,limit,unit,message,holder,cause,revision";
    private const string Window = "from=2029-01-01&to=2029-12-31";
    private static readonly Instant Time = Instant.FromUtc(2029, 3, 1);
    private readonly ShortMission host;
    private readonly Stores stores;

    public FlagsApiTests(ShortMission host)
    {
        this.host = host;
        stores = host.Services.GetRequiredService<Stores>();
    }

    // Three flags long before the mission's data, so that no rule looks at them.
    public Task InitializeAsync() => stores.Database.WriteAsync(t =>
    {
        for (var i = 0; i < 3; i++)
        {
            var flag = Flag(i);
            FlagStore.Put(t, FlagJson.Row(flag, Time, Time), stores.Flags.Get(flag.Id) is null ? "raise" : null, "rules", "The limit was passed.");
        }
    });

    public Task DisposeAsync() => Task.CompletedTask;

    [Fact]
    public Task Flags_have_the_contracts_columns_in_json_and_csv() => host.Api.Holds($"flags?{Window}", Columns);

    [Fact]
    public async Task Pages_hold_every_flag_once()
    {
        var all = await host.Api.Json($"flags?{Window}");
        Assert.Equal(3, all.Count);
        Assert.Equal(all.Select(f => f.GetRawText()), (await host.Api.Paged($"flags?{Window}", 2)).Select(f => f.GetRawText()));
    }

    [Fact]
    public async Task State_and_severity_narrow_the_list()
    {
        Assert.Equal("withdrawn", Assert.Single(await host.Api.Json($"flags?{Window}&state=withdrawn")).GetProperty("state").GetString());
        Assert.Equal(Id(2), Assert.Single(await host.Api.Json($"flags?{Window}&severity=critical")).GetProperty("id").GetString());
        Assert.Contains("expected one of raised, taken, explained, settled, reopened, withdrawn", await host.Api.Refused("flags?state=open", HttpStatusCode.BadRequest), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_flag_has_its_evidence_and_history()
    {
        var detail = await host.Api.Client.GetFromJsonAsync<JsonElement>(ApiClient.Address("flags/" + Id(0)));
        Assert.Equal(Id(0), detail.GetProperty("flag").GetProperty("id").GetString());
        Assert.Equal("lamp-brightness", detail.GetProperty("evidence").GetProperty("series").GetProperty("tracker").GetString());
        Assert.Equal("raise", detail.GetProperty("history")[0].GetProperty("step").GetString());
    }

    [Fact]
    public async Task A_step_is_stored_with_who_and_why_and_told_to_others()
    {
        var before = stores.Events.LastId;
        var detail = await Do($"{Id(0)}/explain", """{"note": "Seen; the lamp is warming up.", "cause": "instrument"}""");
        Assert.Equal(("explained", "instrument", DemoAccess.NameOf(Roles.Analyst)), (detail.GetProperty("flag").GetProperty("state").GetString(), detail.GetProperty("flag").GetProperty("cause").GetString(), detail.GetProperty("flag").GetProperty("holder").GetString()));
        var step = detail.GetProperty("history").EnumerateArray().Last();
        Assert.Equal(("explain", DemoAccess.NameOf(Roles.Analyst), "Seen; the lamp is warming up."), (step.GetProperty("step").GetString(), step.GetProperty("actor").GetString(), step.GetProperty("note").GetString()));
        Assert.Contains(stores.Events.After(before), e => e.Kind == "flag" && e.Subject == Id(0) && e.Text.Contains("warming up", StringComparison.Ordinal));
        Assert.Equal(FlagState.Raised, FlagJson.Read(stores.Flags.Get(Id(0))!).State);
    }

    [Fact]
    public async Task A_step_needs_no_body_and_names_the_revision_that_it_saw_in_it_or_in_if_match()
    {
        var saw = stores.Flags.Get(Id(2))!.Revision;
        using var bare = await host.Api.Client.PostAsync(ApiClient.Address($"flags/{Id(2)}/take"), null);
        Assert.Equal(HttpStatusCode.OK, bare.StatusCode);
        var refused = await host.Api.Refused($"flags/{Id(2)}/release", HttpStatusCode.Conflict, HttpMethod.Post, Json($$"""{"revision": {{saw}}}"""));
        Assert.Contains($"{DemoAccess.NameOf(Roles.Analyst)} took it at", refused, StringComparison.Ordinal);
        foreach (var (match, status) in new[] { ($"\"{saw}\"", HttpStatusCode.Conflict), ("soon", HttpStatusCode.BadRequest), ($"\"{saw + 1}\"", HttpStatusCode.OK) })
        {
            using var request = new HttpRequestMessage(HttpMethod.Post, ApiClient.Address($"flags/{Id(2)}/release"));
            request.Headers.TryAddWithoutValidation("If-Match", match);
            using var answer = await host.Api.Client.SendAsync(request);
            Assert.Equal(status, answer.StatusCode);
        }
    }

    [Fact]
    public async Task Many_flags_take_a_step_at_once_and_each_is_answered()
    {
        using var answer = await host.Api.Client.PostAsync(ApiClient.Address("flags/steps"), Json($$"""{"step":"settle","cause":"unknown","note":"rehearsal","flags":[{"id":"{{Id(2)}}"},{"id":"{{Id(1)}}"},{"id":"none"}]}"""));
        var items = (await answer.Content.ReadFromJsonAsync<JsonElement>()).EnumerateArray().ToArray();
        Assert.Equal("settled", items[0].GetProperty("state").GetString());
        Assert.Contains("withdrawn", items[1].GetProperty("refusal").GetString(), StringComparison.Ordinal);
        Assert.Contains("no flag with the id", items[2].GetProperty("refusal").GetString(), StringComparison.Ordinal);
        await Do($"{Id(2)}/reopen", """{"note":"back"}""");
    }

    [Fact]
    public async Task Comments_links_and_plots_stand_beside_the_flag()
    {
        var commented = await Do($"{Id(0)}/comments", $$"""{"text":"look, @{{DemoAccess.NameOf(Roles.Analyst)}}"}""");
        Assert.Equal("comment", commented.GetProperty("history").EnumerateArray().Last().GetProperty("step").GetString());
        Assert.Contains("look, @", (await host.Api.Json("flags/mentions?from=2000-01-01"))[0].GetProperty("comment").GetString(), StringComparison.Ordinal);
        Assert.Contains("nobody called 'zoe'", await host.Api.Refused($"flags/{Id(0)}/comments", HttpStatusCode.Conflict, HttpMethod.Post, Json("""{"text":"@zoe"}""")), StringComparison.Ordinal);
        Assert.Equal(Id(1), (await Do($"{Id(0)}/links", $$"""{"other":"{{Id(1)}}"}""")).GetProperty("linked")[0].GetString());
        using (var gone = await host.Api.Client.DeleteAsync(ApiClient.Address($"flags/{Id(0)}/links/{Id(1)}"))) Assert.Equal(HttpStatusCode.OK, gone.StatusCode);
        Assert.Contains("no flag", await host.Api.Refused($"flags/{Id(0)}/links", HttpStatusCode.Conflict, HttpMethod.Post, Json("""{"other":"none"}""")), StringComparison.Ordinal);

        const string document = """{"title":"T","summary":"S","x":{},"y":[],"traces":[{"v":[1.5,null]}]}""";
        var plots = (await Do($"{Id(0)}/plots", $$"""{"title":"Lamp","url":"/api/v1/plots/flags/x?columns=800","note":"the dip","document":{{document}}}""")).GetProperty("plots").EnumerateArray().ToArray();
        Assert.Equal(("Lamp", "the dip"), (plots[^1].GetProperty("title").GetString(), plots[^1].GetProperty("note").GetString()));
        Assert.Equal(document, await host.Api.Client.GetStringAsync(new Uri(plots[^1].GetProperty("document").GetString()! + "?columns=300", UriKind.Relative)));
        Assert.Contains("$.document: found", await host.Api.Refused($"flags/{Id(0)}/plots", HttpStatusCode.BadRequest, HttpMethod.Post, Json("""{"title":"T","url":"/api/v1/plots/today","document":[1]}""")), StringComparison.Ordinal);
        Assert.Contains("$.url: found", await host.Api.Refused($"flags/{Id(0)}/plots", HttpStatusCode.BadRequest, HttpMethod.Post, Json($$"""{"title":"T","url":"https://elsewhere/","document":{{document}}}""")), StringComparison.Ordinal);
        var large = "{\"title\":\"T\",\"url\":\"/api/v1/plots/today\",\"document\":" + document.Replace("\"S\"", "\"" + new string('x', FlagTalk.LargestDocument) + "\"", StringComparison.Ordinal) + "}";
        Assert.Contains("at most 4 MiB are kept", await host.Api.Refused($"flags/{Id(0)}/plots", HttpStatusCode.Conflict, HttpMethod.Post, Json(large)), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Groups_hold_every_standing_flag_once_with_a_reason()
    {
        var items = await host.Api.Json($"flags/groups?{Window}");
        Assert.Equal(new[] { Id(0), Id(2) }.Order(StringComparer.Ordinal), items.Select(i => i.GetProperty("flag").GetString()!).Order(StringComparer.Ordinal));
        Assert.All(items, i => Assert.NotEqual("", i.GetProperty("reason").GetString()));
    }

    [Fact]
    public async Task What_cannot_be_done_is_answered_with_why()
    {
        Assert.Equal("A flag has no step 'close'; expected one of take, hand-over, release, explain, settle, reopen.", await host.Api.Refused($"flags/{Id(0)}/close", HttpStatusCode.BadRequest, HttpMethod.Post));
        Assert.Equal("There is no flag 'none'.", await host.Api.Refused("flags/none/take", HttpStatusCode.NotFound, HttpMethod.Post));
        Assert.Contains("The flag is withdrawn", await host.Api.Refused($"flags/{Id(1)}/take", HttpStatusCode.Conflict, HttpMethod.Post), StringComparison.Ordinal);
        Assert.Contains("expected nothing, or JSON such as { \"note\":", await host.Api.Refused($"flags/{Id(0)}/take", HttpStatusCode.BadRequest, HttpMethod.Post, Json("""{"remark": "x"}""")), StringComparison.Ordinal);
    }

    private static StringContent Json(string body) => new(body, Encoding.UTF8, "application/json");

    private async Task<JsonElement> Do(string call, string body)
    {
        using var answer = await host.Api.Client.PostAsync(ApiClient.Address("flags/" + call), Json(body));
        var text = await answer.Content.ReadAsStringAsync();
        Assert.True(answer.StatusCode == HttpStatusCode.OK, text);
        return JsonSerializer.Deserialize<JsonElement>(text);
    }

    private static string Id(int i) => Flag(i).Id;

    private static Flag Flag(int i)
    {
        var orbit = -100 + 10 * i;
        var from = Time.AddSeconds(i * 86400);
        var flag = Core.Flags.Flag.Of(new Condition
        {
            Thing = new FlagThing("test-rule", "lamp-brightness", "F", "green"),
            RuleVersion = "1",
            RuleKind = "lamp-loss",
            Severity = i == 2 ? FlagSeverity.Critical : FlagSeverity.Warning,
            From = from,
            To = from.AddSeconds(600),
            FirstOrbit = orbit,
            LastOrbit = orbit + 1,
            Value = 0.4,
            Limit = 0.8,
            Unit = "1",
            Excess = 1,
            Text = "Lamp at 0.40 of its reference.",
            Evidence = new FlagEvidence(from, from.AddSeconds(600), new SeriesKey("lamp-brightness", "F", "green")),
        });
        return i == 1 ? flag with { State = FlagState.Withdrawn, WithdrawnReason = "Later data removed its ground." } : flag;
    }
}
