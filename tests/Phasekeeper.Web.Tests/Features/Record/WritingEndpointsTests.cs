using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using Dapper;
using Microsoft.AspNetCore.Components.Endpoints;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Record;

/// <summary>
/// Every endpoint that changes something, found in the route table, leaves an entry of who did it, and does nothing where no entry can be left. A new one needs a line in
/// <see cref="Requests"/> that makes a request which succeeds.
/// </summary>
public sealed class WritingEndpointsTests(WebHost host) : IClassFixture<WebHost>
{
    private static readonly string[] Writing = ["POST", "PUT", "PATCH", "DELETE"];

    // The framework's own (circuits), and what answers every method alike and only tells how the program is. Signing out and the demo's choice of role change nothing of the mission. Pages answer POST for forms: what those do has its own tests (Features/People, Features/SignIn).
    private static readonly string[] Others = ["_blazor", "_framework", "healthz", "readyz", "sign-out", "demo/role"];

    // They succeed with orbits alone, which this host has none of: what a fit leaves (nothing) and what its proposal leaves (an entry) is held by FitsApiTests; a day is signed off in DaysApiTests.
    private static readonly string[] WithOrbits = ["POST /api/v1/days/{date}/sign-off", "POST /api/v1/coefficients/fits", "POST /api/v1/coefficients/fits/proposals"];

    // Every request brings something new.
    private static int counter;

    // What is asked of the host before, and the request itself.
    private static readonly Dictionary<string, Func<WebHost, HttpClient, Task<HttpRequestMessage>>> Requests = new(StringComparer.Ordinal)
    {
        ["POST /api/v1/packets"] = (_, _) => Task.FromResult(Post("packets?name=more.pkt", Garbage())),
        ["POST /api/v1/comparisons"] = (_, _) => Task.FromResult(Post("comparisons?name=new.csv", Winds())),
        ["DELETE /api/v1/comparisons/{id}"] = async (_, client) => new(HttpMethod.Delete, ApiClient.Address($"comparisons/{await SetAsync(client)}")),
        ["POST /api/v1/quarantine/{id}/retry"] = async (_, client) => Post($"quarantine/{await PieceAsync(client)}/retry", []),
        ["POST /api/v1/quarantine/{id}/discard"] = async (_, client) => Post($"quarantine/{await PieceAsync(client)}/discard", []),
        ["POST /api/v1/coefficients/proposals"] = (_, _) => Task.FromResult(Proposal()),
        ["POST /api/v1/coefficients/proposals/{id}/evidence"] = async (h, _) => Post($"coefficients/proposals/{await ProposedAsync(h)}/evidence", []),
        ["POST /api/v1/coefficients/{id}/approve"] = async (h, _) => Decision($"{await ProposedAsync(h)}/approve"),
        ["POST /api/v1/coefficients/{id}/decline"] = async (h, _) => Decision($"{await ProposedAsync(h)}/decline"),
        ["POST /api/v1/coefficients/{id}/withdraw"] = async (h, _) => Decision($"{await ProposedAsync(h)}/withdraw"),
        ["POST /api/v1/coefficients/{id}/reinstate"] = async (h, _) => Decision($"{await ReplacedAsync(h)}/reinstate", Start + InForce(h)),
        ["POST /api/v1/coefficients/proposals/{id}/approve"] = async (h, _) => Decision($"proposals/{await ProposedAsync(h)}/approve"),
        ["POST /api/v1/coefficients/proposals/{id}/decline"] = async (h, _) => Decision($"proposals/{await ProposedAsync(h)}/decline"),
        ["POST /api/v1/coefficients/proposals/{id}/withdraw"] = async (h, _) => Decision($"proposals/{await ProposedAsync(h)}/withdraw"),
        ["POST /api/v1/coefficients/proposals/{id}/reinstate"] = async (h, _) => Decision($"proposals/{await ReplacedAsync(h)}/reinstate", Start + InForce(h)),
        ["POST /api/v1/coefficients/reprocessing/pause"] = async (h, _) => { await HoldAsync(h, false); return Decision("reprocessing/pause"); },
        ["POST /api/v1/coefficients/reprocessing/resume"] = async (h, _) => { await HoldAsync(h, true); return Decision("reprocessing/resume"); },
        ["POST /api/v1/coefficients/reprocessing/{decision}/retire"] = async (h, _) => Decision($"reprocessing/{await DoneAsync(h)}/retire"),
        ["POST /api/v1/activities"] = (_, _) => Task.FromResult(Post("activities", Activity())),
        ["PUT /api/v1/activities/{id}"] = async (h, _) => await EnteredAsync(h) is var (id, revision) ? new(HttpMethod.Put, ApiClient.Address($"activities/{id}")) { Content = new ByteArrayContent(Activity(revision)) } : null!,
        ["POST /api/v1/activities/{id}/cancel"] = async (h, _) => await EnteredAsync(h) is var (id, revision) ? Post($"activities/{id}/cancel", Encoding.UTF8.GetBytes($$"""{"revision":"{{revision}}","reason":"moved"}""")) : null!,
        ["POST /api/v1/activities/import"] = (_, _) => Task.FromResult(Post("activities/import?name=plan.ics", Encoding.ASCII.GetBytes($"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//t//EN\r\nBEGIN:VEVENT\r\nUID:{Interlocked.Increment(ref counter)}\r\nDTSTAMP:20310101T000000Z\r\nDTSTART:20310510T120000Z\r\nSUMMARY:Yaw turn\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"))),
        ["POST /api/v1/orbits/{orbit}/hold"] = async (h, _) => Post($"orbits/{await OrbitAsync(h)}/hold", Encoding.UTF8.GetBytes("""{"reason":"seen"}""")),
        ["POST /api/v1/orbits/{orbit}/release"] = async (h, _) => Post($"orbits/{await HeldAsync(h)}/release", Encoding.UTF8.GetBytes("""{"reason":"seen"}""")),
        ["POST /api/v1/hand-over"] = (_, _) => Task.FromResult(Post("hand-over", Encoding.UTF8.GetBytes("""{"text":"Look at view F."}"""))),
        ["POST /api/v1/hand-over/{id}/read"] = async (h, _) => Post($"hand-over/{await NoteAsync(h)}/read", []),
        ["POST /api/v1/rules/rehearsals"] = (_, _) => Task.FromResult(Rehearsed()),
        ["POST /api/v1/rules/proposals"] = async (h, _) => RuleProposal(await RehearsedAsync(h)),
        ["POST /api/v1/rules/proposals/{id}/approve"] = async (h, _) => Ruled($"proposals/{await RuleProposedAsync(h)}/approve", """{"reason":"seen"}"""),
        ["POST /api/v1/rules/proposals/{id}/decline"] = async (h, _) => Ruled($"proposals/{await RuleProposedAsync(h)}/decline", """{"reason":"seen"}"""),
        ["POST /api/v1/rules/proposals/{id}/withdraw"] = async (h, _) => Ruled($"proposals/{await RuleProposedAsync(h)}/withdraw", """{"reason":"seen"}"""),
        ["POST /api/v1/rules/events"] = (_, _) => Task.FromResult(KnownEvent()),
        ["POST /api/v1/rules/events/{id}/withdraw"] = async (h, _) => Ruled($"events/{(await AskAsync(h, Roles.Analyst, KnownEvent())).GetProperty("id").GetInt64()}/withdraw", """{"reason":"another day"}"""),
        ["POST /api/v1/flags/{id}/{step}"] = async (h, _) => Flagged($"{await FlagAsync(h)}/take", """{"note":"seen"}"""),
        ["POST /api/v1/flags/steps"] = async (h, _) => Flagged("steps", $$"""{"step":"take","flags":[{"id":"{{await FlagAsync(h)}}"}]}"""),
        ["POST /api/v1/flags/{id}/comments"] = async (h, _) => Flagged($"{await FlagAsync(h)}/comments", """{"text":"seen"}"""),
        ["POST /api/v1/flags/{id}/links"] = async (h, _) => Flagged($"{await FlagAsync(h)}/links", $$"""{"other":"{{await FlagAsync(h)}}"}"""),
        ["DELETE /api/v1/flags/{id}/links/{other}"] = async (h, _) => new(HttpMethod.Delete, ApiClient.Address(await LinkedAsync(h))),
        ["POST /api/v1/annotations"] = (_, _) => Task.FromResult(Noted()),
        ["POST /api/v1/annotations/{id:long}/retire"] = async (h, _) => Post($"annotations/{(await AskAsync(h, Roles.Operator, Noted())).GetProperty("id").GetInt64()}/retire", []),
        // This host listens on no port, so there is no PDF: that is kept, and on record, too.
        ["POST /api/v1/reports/{kind}/{first}"] = (_, _) => Task.FromResult(Post("reports/day/2031-05-09", [])),
        ["POST /api/v1/views"] = (_, _) => Task.FromResult(View()),
        ["POST /api/v1/views/{id:long}"] = async (h, _) => Post($"views/{await ViewAsync(h)}", Encoding.UTF8.GetBytes($$"""{"name":"view {{Interlocked.Increment(ref counter)}}"}""")),
        ["POST /api/v1/views/{id:long}/retire"] = async (h, _) => Post($"views/{await ViewAsync(h)}/retire", []),
        ["POST /api/v1/flags/{id}/plots"] = async (h, _) => Flagged($"{await FlagAsync(h)}/plots", """{"title":"T","url":"/api/v1/plots/today","document":{"title":"T","summary":"S","x":{},"y":[],"traces":[]}}"""),
    };

    public static TheoryData<string> Endpoints
    {
        get
        {
            using var host = new WebHost();
            var data = new TheoryData<string>();
            foreach (var endpoint in host.Services.GetRequiredService<EndpointDataSource>().Endpoints.OfType<RouteEndpoint>())
                if (endpoint.Metadata.GetMetadata<ComponentTypeMetadata>() is null && !Others.Any(f => endpoint.RoutePattern.RawText!.TrimStart('/').StartsWith(f, StringComparison.Ordinal)))
                    foreach (var method in endpoint.Metadata.GetMetadata<HttpMethodMetadata>()?.HttpMethods.Intersect(Writing) ?? Writing)
                        if ($"{method} /{endpoint.RoutePattern.RawText!.Trim('/')}" is var name && !WithOrbits.Contains(name)) data.Add(name);
            return data;
        }
    }

    [Theory]
    [MemberData(nameof(Endpoints))]
    public async Task It_leaves_an_entry_of_who_did_it(string endpoint)
    {
        using var client = await ClientAsync(endpoint);
        using var request = await RequestAsync(endpoint, client);
        var before = host.Stores.Record.Head().Entries;
        using var answer = await client.SendAsync(request);
        Assert.True(answer.IsSuccessStatusCode, $"{endpoint} answered {(int)answer.StatusCode}: {await answer.Content.ReadAsStringAsync()}");
        var after = host.Stores.Record.Head().Entries;
        Assert.True(after > before, $"{endpoint} left no entry in the record.");
        for (var number = before + 1; number <= after; number++)
        {
            var entry = host.Stores.Record.Get(number)!;
            var expected = RoleOf(endpoint) is { } role ? (DemoAccess.NameOf(role), role, "127.0.0.1") : ("bootstrap", Roles.Administrator, "127.0.0.1");
            Assert.Equal(expected, (entry.Person, entry.Role, entry.Address));
        }
    }

    [Theory]
    [MemberData(nameof(Endpoints))]
    public async Task It_does_nothing_when_no_entry_can_be_left(string endpoint)
    {
        using var client = await ClientAsync(endpoint);
        using var request = await RequestAsync(endpoint, client);
        var anchor = Path.Combine(host.Stores.Database.Folder.Root, RecordAnchor.FileName);
        var (entries, before) = (host.Stores.Record.Head().Entries, State());
        File.Move(anchor, anchor + ".away");
        Directory.CreateDirectory(anchor);
        using (var answer = await client.SendAsync(request)) Assert.False(answer.IsSuccessStatusCode, $"{endpoint} did what it cannot put on record.");
        Directory.Delete(anchor);
        File.Move(anchor + ".away", anchor);
        Assert.Equal(before, State());
        Assert.Equal(entries, host.Stores.Record.Head().Entries);
    }

    [Fact]
    public void Every_request_made_here_is_of_an_endpoint_that_there_is() =>
        Assert.Empty(Requests.Keys.Except(Endpoints.Cast<object[]>().Select(row => (string)row[0])));

    private static async Task<HttpRequestMessage> RequestOf(WebHost host, HttpClient client, string endpoint) => Requests.TryGetValue(endpoint, out var make) ? await make(host, client)
        : throw new NotSupportedException($"No request is known for {endpoint}: say in {nameof(Requests)} how it is asked so that it succeeds, and let it leave an entry in the record.");

    private Task<HttpRequestMessage> RequestAsync(string endpoint, HttpClient client) => RequestOf(host, client, endpoint);

    // An administrator does not decide about coefficients; whoever proposed them withdraws them.
    private static string? RoleOf(string endpoint) => endpoint.Contains("/rules/", StringComparison.Ordinal)
        ? endpoint.EndsWith("/approve", StringComparison.Ordinal) || endpoint.EndsWith("/decline", StringComparison.Ordinal) ? Roles.CalibrationLead : Roles.Analyst
        : !endpoint.Contains("/coefficients/", StringComparison.Ordinal) ? null : endpoint.EndsWith("/proposals", StringComparison.Ordinal) || endpoint.EndsWith("/withdraw", StringComparison.Ordinal) ? Roles.Analyst : Roles.CalibrationLead;

    private async Task<HttpClient> ClientAsync(string endpoint)
    {
        var client = host.CreateClient(new WebApplicationFactoryClientOptions { HandleCookies = false });
        if (RoleOf(endpoint) is { } role) client.DefaultRequestHeaders.Add("Cookie", $"{DemoAccess.RoleCookie}={role}");
        else client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", WebHost.Token);
        // What the start itself puts on record comes first.
        await host.Services.GetRequiredService<PipelineEngine>().Ready;
        return client;
    }

    // What people's decisions change, as text.
    private string State() => host.Stores.Database.Read(c => string.Join('\n', new[]
    {
        "SELECT id || ' ' || state FROM quarantine ORDER BY id", "SELECT flag || ' ' || shown || revision FROM flagLife ORDER BY flag", "SELECT flag || ' ' || other FROM flagLink ORDER BY flag, other", "SELECT flag || ' ' || id FROM flagPlot ORDER BY id", "SELECT flag || ' ' || step FROM flagStep ORDER BY id",
        "SELECT id || ' ' || name FROM auxiliaryFile ORDER BY id", "SELECT id || ' ' || path FROM archiveSegment ORDER BY id", "SELECT id || ' ' || name FROM coefficientSet ORDER BY id",
        "SELECT id || ' ' || decision FROM coefficientDecision ORDER BY id", "SELECT id || ' ' || setId FROM coefficientEvidence ORDER BY id", 
        // What the engine does meanwhile with earlier decisions is no doing of the call.
        "SELECT key || ' ' || value FROM setting WHERE key <> 'workGeneration' ORDER BY key", "SELECT decision || ' ' || retired || retiredBy FROM reprocessing WHERE retired IS NOT NULL ORDER BY decision",
        "SELECT decision || ' ' || orbit || ' ' || exposure || view || line FROM formerWind ORDER BY decision, orbit, exposure, view, line",
        "SELECT id || ' ' || title || status FROM activityVersion ORDER BY id",
        "SELECT day || ' ' || revision FROM signOff ORDER BY id", "SELECT orbit || ' ' || held FROM orbitHold ORDER BY id", "SELECT id || ' ' || text FROM handOver ORDER BY id",
        "SELECT note || ' ' || actor FROM handOverRead ORDER BY note, actor",
        "SELECT id || ' ' || coalesce(retired, '') FROM annotation ORDER BY id", "SELECT id || ' ' || name || ' ' || revision FROM sharedView ORDER BY id", "SELECT id || ' ' || first FROM report ORDER BY id",
        "SELECT id || ' ' || source FROM ruleProposal ORDER BY id", "SELECT id || ' ' || decision FROM ruleDecision ORDER BY id",
        "SELECT id || ' ' || decision FROM ruleVersion ORDER BY id", "SELECT id || ' ' || what FROM knownEvent ORDER BY id", "SELECT event || ' ' || reason FROM knownEventWithdrawal ORDER BY event",
    }.SelectMany(sql => c.Query<string>(sql))));

    private static HttpRequestMessage Post(string call, byte[] body) => new(HttpMethod.Post, ApiClient.Address(call)) { Content = new ByteArrayContent(body) };

    private static byte[] Garbage() => Encoding.ASCII.GetBytes($"these are no space packets, and nobody ever said that they were {Interlocked.Increment(ref counter)}");

    private static byte[] Winds() => Encoding.ASCII.GetBytes($"# Radar number {Interlocked.Increment(ref counter)} of this test.\n{string.Join(',', Core.Comparison.IndependentWindFile.Columns)}\n"
        + string.Join(',', Core.Comparison.IndependentWindFile.Columns.Select(c => c switch { "time" => "2031-05-01T00:00:00Z", "altitudeKm" => "95", var name when name.Contains("igma", StringComparison.Ordinal) => "5", _ => "10" })) + "\n");

    private static HttpRequestMessage Proposal() => Post("coefficients/proposals", Encoding.UTF8.GetBytes($$"""
        {"base":1,"name":"set {{Interlocked.Increment(ref counter)}}","validFrom":"2031-06-01T00:00:00Z","reason":"a better lag","changes":[{"number":"optics.thermal.lagS","view":"F","line":"green","value":{{430 + Volatile.Read(ref counter)}}}]}
        """));

    // A set comes back from a start that its validity allows.
    private const string Start = ",\"from\":\"2031-06-01T00:00:00Z\"";

    // The set that who goes back sees in force: the newest decision is in force from there on.
    private static string InForce(WebHost host) => $",\"inPlaceOf\":{host.Stores.Coefficients.Decisions().Last(d => CoefficientDecision.PutsInForce(d.Decision)).SetId}";

    private static HttpRequestMessage Decision(string call, string more = "") => Post("coefficients/" + call, Encoding.UTF8.GetBytes($$"""{"reason":"seen"{{more}}}"""));

    private static async Task<JsonElement> AskAsync(WebHost host, string role, HttpRequestMessage request)
    {
        using var client = host.CreateClient(new WebApplicationFactoryClientOptions { HandleCookies = false });
        request.Headers.Add("Cookie", $"{DemoAccess.RoleCookie}={role}");
        using var answer = await client.SendAsync(request);
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
        return await answer.Content.ReadFromJsonAsync<JsonElement>();
    }

    private static async Task<long> ProposedAsync(WebHost host) => (await AskAsync(host, Roles.Analyst, Proposal())).GetProperty("id").GetInt64();

    private static async Task<long> ApprovedAsync(WebHost host)
    {
        var id = await ProposedAsync(host);
        await AskAsync(host, Roles.CalibrationLead, Decision($"{id}/approve"));
        return id;
    }

    private static async Task<long> ReplacedAsync(WebHost host)
    {
        var id = await ApprovedAsync(host);
        await ApprovedAsync(host);
        return id;
    }

    private static Task HoldAsync(WebHost host, bool held) => AskAsync(host, Roles.CalibrationLead, Decision(held ? "reprocessing/pause" : "reprocessing/resume"));

    // A mission without data has no orbit to make again: a decision is through at once.
    private static async Task<long> DoneAsync(WebHost host)
    {
        await HoldAsync(host, false);
        await ApprovedAsync(host);
        await host.WaitUntilIdle();
        using var client = host.CreateClient();
        return (await client.GetFromJsonAsync<JsonElement>(ApiClient.Address("coefficients/reprocessing"))).GetProperty("items")[0].GetProperty("decision").GetInt64();
    }

    private static async Task<long> SetAsync(HttpClient client)
    {
        using var request = Post("comparisons?name=old.csv", Winds());
        using var answer = await client.SendAsync(request);
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
        return (await answer.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetInt64();
    }

    private static async Task<long> PieceAsync(HttpClient client)
    {
        using var request = Post("packets?name=odd.pkt", Garbage());
        using var answer = await client.SendAsync(request);
        Assert.True(answer.IsSuccessStatusCode);
        return (await client.GetFromJsonAsync<JsonElement>(ApiClient.Address("quarantine"))).GetProperty("items")[0].GetProperty("id").GetInt64();
    }

    private static byte[] Activity(string? revision = null) => Encoding.UTF8.GetBytes($$"""
        {"kind":"yaw-turn","title":"Turn {{Interlocked.Increment(ref counter)}}","from":"2031-05-10T12:00:00Z","to":"2031-05-10T13:00:00Z","reason":"seen"{{(revision is null ? "" : $",\"revision\":\"{revision}\"")}}}
        """);

    private static async Task<(string Id, string Revision)> EnteredAsync(WebHost host)
    {
        var entered = await AskAsync(host, Roles.Operator, Post("activities", Activity()));
        return (entered.GetProperty("id").GetString()!, entered.GetProperty("revision").GetString()!);
    }

    private static HttpRequestMessage Noted() => Post("annotations", Encoding.UTF8.GetBytes("""{"from":"2031-05-09T10:00:00Z","text":"seen"}"""));

    private static HttpRequestMessage View() => Post("views", Encoding.UTF8.GetBytes($$"""{"name":"view {{Interlocked.Increment(ref counter)}}","address":"/drift"}"""));

    private static async Task<long> ViewAsync(WebHost host) => (await AskAsync(host, Roles.Operator, View())).GetProperty("id").GetInt64();
    private static HttpRequestMessage Ruled(string call, string body) => Post("rules/" + call, Encoding.UTF8.GetBytes(body));

    private static HttpRequestMessage Rehearsed() => Ruled("rehearsals", $$$$"""{"rule":{"kind":"data-gap","parameters":{"noticeLimit":{{{{400 + Interlocked.Increment(ref counter)}}}}}}}""");

    private static HttpRequestMessage RuleProposal(long rehearsal) => Ruled("proposals", $$"""{"rehearsal":{{rehearsal}},"reason":"short gaps are no matter"}""");

    private static HttpRequestMessage KnownEvent() => Ruled("events", $$"""{"rule":"data-gap","from":"2031-03-01T00:00:00Z","to":"2031-03-01T01:00:00Z","what":"a pause told by voice {{Interlocked.Increment(ref counter)}}"}""");

    private static async Task<long> RehearsedAsync(WebHost host)
    {
        var id = (await AskAsync(host, Roles.Analyst, Rehearsed())).GetProperty("id").GetInt64();
        await host.Services.GetRequiredService<Pipeline.Thresholds.Rehearsals>().Find(id)!.Ended;
        return id;
    }

    private static async Task<long> RuleProposedAsync(WebHost host) => (await AskAsync(host, Roles.Analyst, RuleProposal(await RehearsedAsync(host)))).GetProperty("id").GetInt64();

    private static HttpRequestMessage Flagged(string call, string body) => Post("flags/" + call, Encoding.UTF8.GetBytes(body));

    private static async Task<string> LinkedAsync(WebHost host)
    {
        var (a, b) = (await FlagAsync(host), await FlagAsync(host));
        await AskAsync(host, Roles.Operator, Flagged($"{a}/links", $$"""{"other":"{{b}}"}"""));
        return $"flags/{a}/links/{b}";
    }

    // An orbit is there once it is stored; held without a packet, since nothing asks for one.
    private static async Task<int> OrbitAsync(WebHost host)
    {
        var number = 100_000 + Interlocked.Increment(ref counter);
        var start = Instant.FromUtc(2029, 1, 1).AddSeconds(5760.0 * (number - 100_000));
        await host.Stores.Database.WriteAsync(t => OrbitStore.Replace(t, new() { Orbit = number, Start = start, End = start.AddSeconds(5760), Verdict = "usable" }));
        return number;
    }

    private static async Task<int> HeldAsync(WebHost host)
    {
        var orbit = await OrbitAsync(host);
        await AskAsync(host, Roles.Operator, Post($"orbits/{orbit}/hold", Encoding.UTF8.GetBytes("""{"reason":"seen"}""")));
        return orbit;
    }

    private static async Task<long> NoteAsync(WebHost host) => (await AskAsync(host, Roles.Analyst, Post("hand-over", Encoding.UTF8.GetBytes("""{"text":"Look at view F."}""")))).GetProperty("id").GetInt64();

    private static async Task<string> FlagAsync(WebHost host)
    {
        var at = Instant.FromUtc(2029, 1, 1);
        var flag = await SampleFlag.RaiseAsync(host, Interlocked.Increment(ref counter), at, new FlagEvidence(at, at.AddSeconds(12000)));
        return flag.Id;
    }
}
