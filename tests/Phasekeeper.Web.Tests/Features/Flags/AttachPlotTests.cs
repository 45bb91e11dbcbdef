using System.Globalization;
using System.Net;
using System.Text;
using System.Text.Json;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Annotations;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Flags;

/// <summary>Plots of other pages beside a flag: kept as they were seen, from addresses of this program alone; and the list that the form offers.</summary>
[Collection(ShortMission.Collection)]
public sealed class AttachPlotTests : IAsyncLifetime
{
    // Long before the mission's data, so that no rule looks at them.
    private static readonly Instant Time = Instant.FromUtc(2028, 8, 1);
    private static readonly Actor Kim = new("kim", Roles.Operator, null);
    private readonly ShortMission host;
    private readonly Stores stores;

    public AttachPlotTests(ShortMission host)
    {
        this.host = host;
        stores = host.Services.GetRequiredService<Stores>();
    }

    public Task InitializeAsync() => stores.Database.WriteAsync(t =>
    {
        for (var i = 0; i < 4; i++)
        {
            var flag = Flag(i);
            FlagStore.Put(t, FlagJson.Row(flag, Time, Time), stores.Flags.Get(flag.Id) is null ? "raise" : null, "rules", "The limit was passed.");
        }
    });

    public Task DisposeAsync() => Task.CompletedTask;

    [Theory]
    [InlineData("/api/v1/plots/channels?c={channel}&range=all&columns=300")]
    [InlineData("/api/v1/plots/today?columns=300")]
    [InlineData("/api/v1/plots/orbit/{orbit}/temperatures?view=&line=&columns=300")]
    [InlineData("/api/v1/plots/drift?s=beta-angle&range=all&x=time&columns=300")]
    public async Task A_plot_of_another_page_is_kept_with_its_address_and_drawn_again_as_it_was_seen(string pattern)
    {
        var url = pattern.Replace("{channel}", host.Services.GetRequiredService<PipelineEngine>().Mission!.RoleChannels.First(), StringComparison.Ordinal).Replace("{orbit}", stores.Orbits.Newest(1)[0].Orbit.ToString(CultureInfo.InvariantCulture), StringComparison.Ordinal);
        var seen = await host.Api.Client.GetStringAsync(new Uri(url, UriKind.Relative));
        Assert.Contains(JsonSerializer.Deserialize<JsonElement>(seen).GetProperty("traces").EnumerateArray(), trace => trace.GetProperty("x").GetArrayLength() > 0);
        var kept = (await Attach(url, seen)).GetProperty("plots").EnumerateArray().Last();
        Assert.Equal(url, kept.GetProperty("url").GetString());

        // What the address gives changes meanwhile: somebody pins a note to all of its time.
        var desk = host.Services.GetRequiredService<AnnotationDesk>();
        var first = stores.Archive.FirstPacketTime!.Value;
        var note = await desk.AddAsync(new(first, first.AddSeconds(30 * 86_400.0), "pinned afterwards"), Kim);
        try
        {
            Assert.NotEqual(seen, await host.Api.Client.GetStringAsync(new Uri(url, UriKind.Relative)));
            Assert.Equal(seen, await host.Api.Client.GetStringAsync(new Uri(kept.GetProperty("document").GetString()! + "?columns=900&from=2000-01-01", UriKind.Relative)));
        }
        finally
        {
            await desk.RetireAsync(note, Kim);
        }
        Assert.Contains(stores.Record.List(new RecordFilter { What = RecordKinds.FlagAttach, Subject = Flag(0).Id }, 100).Items, entry => entry.After?.Contains(url.Split('?')[0], StringComparison.Ordinal) == true);
    }

    [Theory]
    [InlineData(null)]
    [InlineData("")]
    [InlineData("drift?range=7d")]
    [InlineData("https://elsewhere.example/api/v1/plots/today")]
    [InlineData("//elsewhere.example/api/v1/plots/today")]
    [InlineData("/\\elsewhere.example/api/v1/plots/today")]
    [InlineData("http:/api/v1/plots/today")]
    [InlineData("javascript:alert(1)//api/v1/plots/today")]
    [InlineData("file:///api/v1/plots/today")]
    [InlineData("/api/v1/plots")]
    [InlineData("/api/v1/plots/")]
    [InlineData("/api/v1/plots/nothing")]
    [InlineData("/api/v1/plotsx/today")]
    [InlineData("/api/v1/flags")]
    [InlineData("/api/v1/plots/../flags")]
    [InlineData("/api/v1/plots/./today")]
    [InlineData("/api/v1/plots/today/../../record")]
    [InlineData("/api/v1/plots/%2e%2e/flags")]
    [InlineData("/api/v1/plots/flags/%2e%2e")]
    [InlineData("/api/v1/plots/flags/..%2f..%2frecord")]
    [InlineData("/api/v1/plots/flags/a%5cb")]
    [InlineData("/api/v1/plots/flags/a\\b")]
    [InlineData("/api/v1/plots/orbit/seven/phase")]
    [InlineData("/api/v1/plots/orbit/7/nothing")]
    [InlineData("/api/v1/plots/today\r\nHost: elsewhere.example")]
    public async Task An_address_that_is_no_plot_of_this_program_is_refused(string? url)
    {
        var body = JsonSerializer.Serialize(new { title = "T", url, document = new { title = "T", summary = "S", x = new { }, y = Array.Empty<int>(), traces = Array.Empty<int>() } });
        var told = await host.Api.Refused($"flags/{Flag(1).Id}/plots", HttpStatusCode.BadRequest, HttpMethod.Post, Json(body));
        Assert.StartsWith("$.url: found ", told, StringComparison.Ordinal);
        Assert.Contains("expected path and query of a plot of this server, below /api/v1/plots/", told, StringComparison.Ordinal);
        Assert.Empty(stores.FlagTalk.Plots(Flag(1).Id));
    }

    [Fact]
    public async Task An_address_that_is_too_long_is_refused_and_not_said_back_in_full()
    {
        var told = await host.Api.Refused($"flags/{Flag(1).Id}/plots", HttpStatusCode.BadRequest, HttpMethod.Post, Json(JsonSerializer.Serialize(new { title = "T", url = "/api/v1/plots/today?x=" + new string('9', 2000), document = new { } })));
        Assert.True(told.Length < 300, told);
    }

    [Fact]
    public async Task The_newest_flags_that_stand_in_a_time_come_first()
    {
        string At(int hours) => Time.AddSeconds(hours * 3600.0).ToString();
        Assert.Equal(Ids(3, 1, 0), await Found($"from={At(-1)}&to={At(100)}"));
        Assert.Equal(Ids(1, 0), await Found($"from={At(-1)}&to={At(25)}"));
        // Both ends: what ended before is left out, what begins at the end too.
        Assert.Equal(Ids(1), await Found($"from={At(12)}&to={At(72)}"));
        var (first, next) = await host.Api.Page($"flags/newest?from={At(-1)}&to={At(100)}&limit=2");
        Assert.Equal(Ids(3, 1), first.Select(f => f.GetProperty("id").GetString()));
        Assert.Equal(Ids(0), await Found($"from={At(-1)}&to={At(100)}&next={Uri.EscapeDataString(next!)}"));
    }

    [Fact]
    public async Task A_flag_is_found_by_words_an_orbit_its_id_or_its_address()
    {
        Assert.Equal(Ids(3, 1, 0), await Found("q=ATTACH%20me"));
        Assert.Equal(Ids(1), await Found("q=number%201"));
        Assert.Empty(await Found("q=number%25"));
        Assert.Equal(Ids(3), await Found($"q={Orbit(3)}"));
        // By name a flag is found even where it is withdrawn.
        Assert.Equal(Ids(2), await Found($"q=%20{Flag(2).Id}%20"));
        Assert.Equal(Ids(2), await Found($"q={Uri.EscapeDataString($"https://mission.example/flags/{Flag(2).Id}?x=1")}"));
        Assert.Empty(await Found("q=nothing%20like%20it"));
    }

    private static IEnumerable<string> Ids(params int[] numbers) => numbers.Select(i => Flag(i).Id);

    private async Task<IEnumerable<string>> Found(string query) => (await host.Api.Json("flags/newest?" + query)).Select(f => f.GetProperty("id").GetString()!);

    private async Task<JsonElement> Attach(string url, string document)
    {
        using var answer = await host.Api.Client.PostAsync(ApiClient.Address($"flags/{Flag(0).Id}/plots"), Json($$"""{"title":"As I saw it","url":{{JsonSerializer.Serialize(url)}},"document":{{document}},"note":"the step"}"""));
        var text = await answer.Content.ReadAsStringAsync();
        Assert.True(answer.StatusCode == HttpStatusCode.OK, text);
        return JsonSerializer.Deserialize<JsonElement>(text);
    }

    private static StringContent Json(string body) => new(body, Encoding.UTF8, "application/json");

    private static int Orbit(int i) => 4_000_000 + i;

    // One a day; the third is withdrawn.
    private static Flag Flag(int i)
    {
        var from = Time.AddSeconds(i * 86_400.0);
        var flag = Core.Flags.Flag.Of(new Condition
        {
            Thing = new FlagThing("attach-rule", "lamp-brightness", "F", "green"),
            RuleVersion = "1",
            RuleKind = "lamp-loss",
            Severity = FlagSeverity.Warning,
            From = from,
            To = from.AddSeconds(600),
            FirstOrbit = Orbit(i),
            LastOrbit = Orbit(i),
            Value = 0.4,
            Limit = 0.8,
            Unit = "1",
            Excess = 1,
            Text = $"Attach me, number {i}.",
            Evidence = new FlagEvidence(from, from.AddSeconds(600)),
        });
        return i == 2 ? flag with { State = FlagState.Withdrawn, WithdrawnReason = "Later data removed its ground." } : flag;
    }
}
