using System.IO.Compression;
using System.Net;
using System.Net.Http.Headers;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.Coefficients;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Coefficients;

/// <summary>Proposals and decisions through the API, on a mission without data, with a person of one's choice.</summary>
public sealed class CoefficientDecisionsApiTests : IAsyncLifetime, IDisposable
{
    private const string Ada = "ada;analyst", Lea = "lea;calibration-lead", Leo = "leo;calibration-lead";
    private readonly PeopleHost host = new();

    public async Task InitializeAsync() => await host.Services.GetRequiredService<PipelineEngine>().Ready;

    public Task DisposeAsync() => Task.CompletedTask;

    public void Dispose() => host.Dispose();

    [Fact]
    public async Task Changes_to_a_named_set_are_proposed_decided_by_another_and_told_number_by_number()
    {
        var proposed = await Send(HttpStatusCode.Created, Ada, "proposals", Changes("ground 2", 431));
        Assert.Equal(("proposed", "by hand", "ada"), (Text(proposed, "state"), Text(proposed, "source"), Text(proposed, "proposedBy")));
        var id = proposed.GetProperty("id").GetInt64();
        foreach (var path in new[] { $"{id}", $"proposals/{id}" })
            foreach (var step in new[] { "approve", "decline" })
            {
                Assert.Contains("calibration-lead", Text(await Send(HttpStatusCode.Forbidden, Ada, $"{path}/{step}", """{"reason":"mine"}"""), "detail"), StringComparison.Ordinal);
                Assert.Contains("reason", Text(await Send(HttpStatusCode.BadRequest, Lea, $"{path}/{step}", "{}"), "detail"), StringComparison.Ordinal);
            }
        var approved = await Send(HttpStatusCode.OK, Lea, $"{id}/approve", """{"reason":"the residual is smaller"}""");
        Assert.Equal("approved", Text(approved, "state"));
        Assert.Equal(("lea", "the residual is smaller", 1), (Text(approved.GetProperty("decisions")[0], "actor"), Text(approved.GetProperty("decisions")[0], "note"), approved.GetProperty("decisions")[0].GetProperty("inPlaceOf").GetInt32()));
        Assert.Equal(1, approved.GetProperty("inForce").GetArrayLength());
        await Send(HttpStatusCode.Conflict, Leo, $"{id}/decline", """{"reason":"too late"}""");

        var difference = Assert.Single((await Get($"{id}/differences?from=1")).GetProperty("items").EnumerateArray());
        Assert.Equal(("optics.thermal.lagS", "s", 431.0), (Text(difference, "number"), Text(difference, "unit"), difference.GetProperty("after").GetDouble()));
        var blind = Text(await Send(HttpStatusCode.Conflict, Leo, "1/reinstate", $$"""{"reason":"it was not","from":"{{Text(proposed, "validFrom")}}"}"""), "detail");
        Assert.Contains("(approved by lea on ", blind, StringComparison.Ordinal);
        Assert.Contains($"named as inPlaceOf: {id}.", blind, StringComparison.Ordinal);
        var back = await Send(HttpStatusCode.OK, Leo, "1/reinstate", $$"""{"reason":"it was not","from":"{{Text(proposed, "validFrom")}}","inPlaceOf":{{id}}}""");
        Assert.Equal("reinstated", Text(back, "state"));
    }

    [Theory]
    [InlineData("approve")]
    [InlineData("decline")]
    public async Task Where_there_is_evidence_a_decision_names_what_was_seen(string step)
    {
        var id = (await Send(HttpStatusCode.Created, Ada, "proposals", Changes("with evidence", 437))).GetProperty("id").GetInt64();
        await Send(HttpStatusCode.Conflict, Lea, $"{id}/{step}", """{"reason":"nothing is there","evidence":77}""");
        var evidence = await host.Services.GetRequiredService<CoefficientDesk>().AddEvidenceAsync(id, 1, "{}");
        var refused = Text(await Send(HttpStatusCode.Conflict, Lea, $"{id}/{step}", """{"reason":"unseen"}"""), "detail");
        Assert.Contains("you named none as seen", refused, StringComparison.Ordinal);
        Assert.Contains($"named as evidence: {evidence}.", refused, StringComparison.Ordinal);
        await Send(HttpStatusCode.OK, Lea, $"{id}/{step}", $$"""{"reason":"seen","evidence":{{evidence}}}""");
        Assert.Equal(evidence, host.Stores.Coefficients.Decisions(id).Single().Evidence);
    }

    [Fact]
    public async Task A_lead_who_proposed_decides_by_no_address_and_under_no_spelling()
    {
        var id = (await Send(HttpStatusCode.Created, Lea, "proposals", Changes("own", 432))).GetProperty("id").GetInt64();
        foreach (var path in new[] { $"{id}/approve", $"{id}/decline", $"proposals/{id}/approve", $"proposals/{id}/decline" })
            foreach (var name in new[] { Lea, "LEA;calibration-lead", "bootstrap;administrator" })
                await Send(HttpStatusCode.Forbidden, name, path, """{"reason":"mine"}""");
        Assert.Equal("declined", Text(await Send(HttpStatusCode.OK, Leo, $"proposals/{id}/decline", """{"reason":"no evidence"}"""), "state"));
    }

    [Fact]
    public async Task A_proposer_takes_the_own_proposal_back_until_it_is_decided_and_nobody_else_does()
    {
        var id = (await Send(HttpStatusCode.Created, Ada, "proposals", Changes("too early", 435))).GetProperty("id").GetInt64();
        await Send(HttpStatusCode.Forbidden, "ann;analyst", $"{id}/withdraw", """{"reason":"not mine"}""");
        await Send(HttpStatusCode.Forbidden, Lea, $"proposals/{id}/withdraw", """{"reason":"not mine"}""");
        await Send(HttpStatusCode.BadRequest, Ada, $"{id}/withdraw", "{}");
        var withdrawn = await Send(HttpStatusCode.OK, Ada, $"{id}/withdraw", """{"reason":"a wrong window"}""");
        Assert.Equal(("withdrawn", "withdrawn", "ada"), (Text(withdrawn, "state"), Text(withdrawn.GetProperty("decisions")[0], "decision"), Text(withdrawn.GetProperty("decisions")[0], "actor")));
        foreach (var (who, step) in new[] { (Lea, "approve"), (Lea, "decline"), (Lea, "reinstate"), (Ada, "withdraw") })
            await Send(HttpStatusCode.Conflict, who, $"{id}/{step}", """{"reason":"too late"}""");
        Assert.Equal(RecordKinds.CoefficientsWithdraw, host.Stores.Record.List(new RecordFilter(), 1).Items[0].What);
        Assert.Single((await Get("proposals?state=withdrawn")).GetProperty("items").EnumerateArray());

        var decided = (await Send(HttpStatusCode.Created, Lea, "proposals", Changes("a lead's own", 436))).GetProperty("id").GetInt64();
        await Send(HttpStatusCode.OK, Leo, $"{decided}/approve", """{"reason":"good"}""");
        await Send(HttpStatusCode.Conflict, Lea, $"{decided}/withdraw", """{"reason":"too late"}""");
    }

    [Fact]
    public async Task A_set_that_was_exported_comes_in_elsewhere_as_the_same_set()
    {
        var flats = new JsonObject { ["my flat.csv"] = string.Join('\n', Enumerable.Range(0, Rows).Select(_ => string.Join(',', Enumerable.Repeat("1.0625", Samples)))) };
        var body = JsonNode.Parse(Changes("with a flat", 433))!.AsObject();
        body["flats"] = flats;
        body["changes"]!.AsArray().Add(new JsonObject { ["number"] = "optics.flat", ["view"] = "F", ["line"] = "green", ["value"] = "my flat.csv" });
        var proposed = await Send(HttpStatusCode.Created, Ada, "proposals", body.ToJsonString());
        var id = proposed.GetProperty("id").GetInt64();

        using var elsewhere = new PeopleHost();
        await elsewhere.Services.GetRequiredService<PipelineEngine>().Ready;
        var package = JsonNode.Parse((await Get($"{id}")).GetRawText())!.AsObject();
        package["reason"] = "from the other installation";
        var again = await Send(HttpStatusCode.Created, Ada, "proposals", package.ToJsonString(), elsewhere);
        Assert.Equal(Text(proposed, "sha256"), Text(again, "sha256"));

        // The files of the zip, as the page takes them, are the same set too; here it is known already.
        using var client = host.CreateClient();
        var zip = await client.GetByteArrayAsync(new Uri($"/api/v1/coefficients/{id}/export", UriKind.Relative));
        using (var archive = new ZipArchive(new MemoryStream(zip))) Assert.Equal(["coefficients.json", "flat-1.csv", "flat-2.csv", "flat-3.csv", "flat-4.csv"], archive.Entries.Select(e => e.Name));
        var files = new Dictionary<string, string>();
        ImportPanel.Add(files, "coefficients.zip", zip);
        var folder = host.Services.GetRequiredService<MissionFolder>();
        var read = ProposalReader.Read(ImportPanel.Body(files, "as files"), null, folder, host.Stores.Coefficients);
        Assert.Equal(Text(proposed, "sha256"), Convert.ToHexStringLower(CoefficientStore.HashOf(CoefficientPackage.Write(read.Set))));
        Assert.Contains($"number {id}", Text(await Send(HttpStatusCode.Conflict, Lea, "proposals", package.ToJsonString()), "detail"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_contracts_own_file_is_a_proposal()
    {
        // Its flat fields lie beside it in the profile folder.
        var folder = host.Services.GetRequiredService<MissionFolder>();
        var file = JsonNode.Parse(await File.ReadAllTextAsync(Path.Combine(folder.Path, folder.Profile.CoefficientsFile!)))!.AsObject();
        file["name"] = "as a file";
        var proposed = await Send(HttpStatusCode.Created, Ada, "proposals?reason=laboratory", file.ToJsonString());
        Assert.Equal(("as a file", "laboratory"), (Text(proposed, "name"), Text(proposed, "reason")));
        Assert.Equal(proposed.GetProperty("id").GetInt64(), (await Get("proposals?state=proposed")).GetProperty("items")[0].GetProperty("id").GetInt64());
    }

    [Theory]
    [InlineData("{", "not JSON")]
    [InlineData("[]", "expected an object")]
    [InlineData("""{"reason":"x"}""", "$.coefficients")]
    [InlineData("""{"base":1,"name":"n","validFrom":"2031-03-01T00:00:00Z","reason":"r","changes":[{"number":"dark.biasCounts","number":"x","value":7}]}""", "a repeated key")]
    [InlineData("""{"base":1,"name":"n","validFrom":"2031-03-01T00:00:00Z","reason":"r","flats":{"a":"1","a":"2"},"changes":[{"number":"dark.biasCounts","value":7}]}""", "a repeated key")]
    [InlineData("""{"base":1,"name":"n\u202e","validFrom":"2031-03-01T00:00:00Z","reason":"r","changes":[{"number":"dark.biasCounts","value":7}]}""", "characters that can be seen")]
    [InlineData("""{"base":1,"name":"n\u0000","validFrom":"2031-03-01T00:00:00Z","reason":"r","changes":[{"number":"dark.biasCounts","value":7}]}""", "characters that can be seen")]
    [InlineData("""{"base":"nowhere","name":"n","validFrom":"2031-03-01T00:00:00Z","reason":"r","changes":[]}""", "number or name of a set")]
    [InlineData("""{"base":1,"name":"n","validFrom":"2031-03-01T00:00:00Z","reason":"r","changes":[{"number":"optics.lamp","view":"F","line":"green","value":1}]}""", "optics.lamp")]
    [InlineData("""{"base":1,"name":"n","validFrom":"2031-03-01T00:00:00Z","reason":"r","changes":[{"number":"optics.zeroWindRad","view":"F","line":"green","index":999,"value":1}]}""", "place 999")]
    [InlineData("""{"base":1,"name":"n","validFrom":"2031-03-01T00:00:00Z","reason":"r","changes":[{"number":"optics.visibility","view":"F","line":"green","value":7}]}""", "visibility")]
    [InlineData("""{"base":1,"name":"n","validFrom":"2031-03-01T00:00:00Z","reason":"r","evidence":{},"changes":[{"number":"dark.biasCounts","value":7}]}""", "$.evidence")]
    public async Task Mistakes_of_a_proposal_are_told_with_their_place(string body, string expected) =>
        Assert.Contains(expected, Text(await Send(HttpStatusCode.BadRequest, Ada, "proposals", body), "detail"), StringComparison.Ordinal);

    [Fact]
    public async Task Reprocessing_is_held_and_resumed_by_those_who_may()
    {
        await Send(HttpStatusCode.Forbidden, "op;operator", "reprocessing/pause", "");
        await Send(HttpStatusCode.OK, Lea, "reprocessing/pause", """{"reason":"a campaign"}""");
        Assert.True(host.Stores.Reprocessing.IsPaused);
        await Send(HttpStatusCode.OK, Lea, "reprocessing/resume", "");
        Assert.False(host.Stores.Reprocessing.IsPaused);
    }

    [Fact]
    public async Task The_page_shows_what_is_in_force_what_waits_and_what_differs()
    {
        var id = (await Send(HttpStatusCode.Created, Ada, "proposals", Changes("to be seen", 434))).GetProperty("id").GetInt64();
        using var client = host.CreateClient();
        var page = await client.GetStringAsync(new Uri($"/coefficients?before=1&after={id}", UriKind.Relative));
        Assert.Contains("Proposals that wait for a decision", page, StringComparison.Ordinal);
        Assert.Contains("to be seen", page, StringComparison.Ordinal);
        Assert.Contains("optics.thermal.lagS", page, StringComparison.Ordinal);
        Assert.Contains("First set of the mission.", page, StringComparison.Ordinal);
        Assert.Contains("Nothing was decided that changes products", page, StringComparison.Ordinal);
        Assert.DoesNotContain("state-panel-failed", page, StringComparison.Ordinal);
    }

    private int Rows => host.Services.GetRequiredService<MissionFolder>().Profile.Instrument!.Rows;

    private int Samples => host.Services.GetRequiredService<MissionFolder>().Profile.Instrument!.Samples;

    private static string Changes(string name, double lagS) =>
        $$"""{"base":1,"name":"{{name}}","validFrom":"2031-06-01T00:00:00Z","reason":"a better lag","changes":[{"number":"optics.thermal.lagS","view":"F","line":"green","value":{{lagS}}}]}""";

    private static string Text(JsonElement item, string name) => item.GetProperty(name).GetString()!;

    private async Task<JsonElement> Get(string path)
    {
        using var client = host.CreateClient();
        return JsonElement.Parse(await client.GetStringAsync(new Uri("/api/v1/coefficients/" + path, UriKind.Relative)));
    }

    private async Task<JsonElement> Send(HttpStatusCode expected, string actor, string path, string body, PeopleHost? to = null)
    {
        using var client = (to ?? host).CreateClient(new WebApplicationFactoryClientOptions { HandleCookies = false });
        using var request = new HttpRequestMessage(HttpMethod.Post, "/api/v1/coefficients/" + path) { Content = new StringContent(body, Encoding.UTF8, new MediaTypeHeaderValue("application/json")) };
        request.Headers.Add(PeopleHost.Header, actor);
        request.Headers.Add("Cookie", $"{DemoAccess.RoleCookie}={actor.Split(';')[1]}");
        using var answer = await client.SendAsync(request);
        var text = await answer.Content.ReadAsStringAsync();
        Assert.True(expected == answer.StatusCode, $"{path} answered {(int)answer.StatusCode}: {text}");
        return JsonElement.Parse(text);
    }

    /// <summary>The application with whoever a header names.</summary>
    private sealed class PeopleHost : WebHost
    {
        public const string Header = "X-Test-Actor";

        protected override void ConfigureWebHost(IWebHostBuilder builder)
        {
            base.ConfigureWebHost(builder);
            builder.ConfigureServices(services => services.AddScoped<ICurrentActor, NamedActor>());
        }

        private sealed class NamedActor(IHttpContextAccessor http) : ICurrentActor
        {
            public Task<Actor> GetAsync()
            {
                var parts = http.HttpContext!.Request.Headers[Header].ToString().Split(';');
                return Task.FromResult(new Actor(parts[0], parts[1], "127.0.0.1"));
            }
        }
    }
}
