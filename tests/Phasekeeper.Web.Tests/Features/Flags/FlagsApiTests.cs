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
    // contract.md section 4.
    private const string Columns = "id,rule,subject,view,line,severity,state,from,to,firstOrbit,lastOrbit,value,limit,unit,message";
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
        Assert.Contains("expected one of raised, acknowledged, withdrawn", await host.Api.Refused("flags?state=open", HttpStatusCode.BadRequest), StringComparison.Ordinal);
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
    public async Task Acknowledging_is_stored_with_who_and_why_and_told_to_others()
    {
        var before = stores.Events.LastId;
        using var body = new StringContent("""{"note": "Seen; the lamp is warming up."}""", Encoding.UTF8, "application/json");
        using var answer = await host.Api.Client.PostAsync(ApiClient.Address($"flags/{Id(0)}/acknowledge"), body);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        var detail = await answer.Content.ReadFromJsonAsync<JsonElement>();
        Assert.Equal("acknowledged", detail.GetProperty("flag").GetProperty("state").GetString());
        var step = detail.GetProperty("history").EnumerateArray().Last();
        Assert.Equal(("acknowledge", DemoAccess.NameOf(Roles.Analyst), "Seen; the lamp is warming up."), (step.GetProperty("step").GetString(), step.GetProperty("actor").GetString(), step.GetProperty("note").GetString()));
        Assert.Contains(stores.Events.After(before), e => e.Kind == "flag" && e.Subject == Id(0) && e.Text.Contains("warming up", StringComparison.Ordinal));
        Assert.Equal(FlagState.Acknowledged, FlagJson.Read(stores.Flags.Get(Id(0))!).State);
    }

    [Fact]
    public async Task Acknowledging_needs_no_body()
    {
        using var answer = await host.Api.Client.PostAsync(ApiClient.Address($"flags/{Id(2)}/acknowledge"), null);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
    }

    [Fact]
    public async Task What_cannot_be_done_is_answered_with_why()
    {
        Assert.Equal("A flag has no step 'close'; expected one of acknowledge.", await host.Api.Refused($"flags/{Id(0)}/close", HttpStatusCode.BadRequest, HttpMethod.Post));
        Assert.Equal("There is no flag 'none'.", await host.Api.Refused("flags/none/acknowledge", HttpStatusCode.NotFound, HttpMethod.Post));
        Assert.Contains("only a standing flag can be acknowledged", await host.Api.Refused($"flags/{Id(1)}/acknowledge", HttpStatusCode.Conflict, HttpMethod.Post), StringComparison.Ordinal);
        using var wrong = new StringContent("""{"remark": "x"}""", Encoding.UTF8, "application/json");
        Assert.Contains("expected nothing, or JSON such as { \"note\":", await host.Api.Refused($"flags/{Id(0)}/acknowledge", HttpStatusCode.BadRequest, HttpMethod.Post, wrong), StringComparison.Ordinal);
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
