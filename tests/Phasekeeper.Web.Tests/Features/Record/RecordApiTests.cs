using System.Globalization;
using System.Net;
using System.Net.Http.Json;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Record;

public sealed class RecordApiTests(WebHost host) : IClassFixture<WebHost>, IAsyncLifetime
{
    private const string Columns = "number,time,taiNs,person,role,address,what,subject,before,after,reason,previous,hash";
    private static readonly string[] Hashed = ["previous", "number", "time", "person", "role", "address", "what", "subject", "before", "after", "reason"];
    private static readonly Instant Time = Instant.FromUtc(2031, 3, 2);

    private ApiClient api = null!;

    public async Task InitializeAsync()
    {
        api = new ApiClient(host.CreateClient());
        await host.Services.GetRequiredService<PipelineEngine>().Ready;
        for (var i = 0; i < 3; i++)
            await host.Stores.Database.WriteAsync(t => RecordStore.Append(t, new Actor("zoë", Roles.Analyst, "10.0.0.9"), "test.kind", "a \"quoted\", thing", null, new { Text = "two\nlines; <b>&amp;" }, $"reason {i}", Time.AddSeconds(0.123456789 * i)));
    }

    public Task DisposeAsync() => Task.CompletedTask;

    [Fact]
    public async Task What_a_first_start_took_in_is_on_record_as_the_programs_own()
    {
        var own = await api.Json("record?person=system");
        Assert.Equal(["coefficients.approve", "file.receive", "profile.adopt", "rules.adopt", "version.change"], own.Select(e => e.GetProperty("what").GetString()!).Distinct().Order());
        Assert.All(own, e => Assert.Equal(("system", JsonValueKind.Null), (e.GetProperty("role").GetString(), e.GetProperty("address").ValueKind)));
        Assert.Contains(own, e => e.GetProperty("subject").GetString() == "winds");
        Assert.Contains(own, e => e.GetProperty("subject").GetString() == "program");
    }

    [Fact]
    public async Task An_export_holds_all_and_anyone_can_compute_the_chain_again_from_it()
    {
        await api.Holds("record", Columns);
        var (header, rows) = await api.Csv("record");
        Assert.Equal(host.Stores.Record.Head().Entries, rows.Count);
        var items = await api.Paged("record", 2);
        Assert.Equal(rows.Select(r => r[0]), items.Select(i => i.GetProperty("number").GetInt64().ToString(CultureInfo.InvariantCulture)));
        var previous = new string('0', 64);
        foreach (var item in items.Reverse())
        {
            Assert.Equal(previous, item.GetProperty("previous").GetString());
            previous = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(Canonical(item))));
            Assert.Equal(previous, item.GetProperty("hash").GetString());
        }
        Assert.Equal(previous, Convert.ToHexStringLower(host.Stores.Record.Head().Hash));
        Assert.Equal(previous, rows[0][Array.IndexOf(header, "hash")]);
    }

    [Fact]
    public async Task Filters_narrow_the_list()
    {
        Assert.True((await api.Json("record?person=zo%C3%AB")).Count >= 3);
        Assert.All(await api.Json("record?what=test.kind"), e => Assert.Equal("zoë", e.GetProperty("person").GetString()));
        Assert.Empty(await api.Json("record?what=test.kind&person=system"));
        Assert.NotEmpty(await api.Json("record?subject=" + Uri.EscapeDataString("a \"quoted\", thing")));
        Assert.NotEmpty(await api.Json("record?q=Reason%201"));
        Assert.NotEmpty(await api.Json($"record?from={Time.AddSeconds(-1)}&to={Time.AddSeconds(1)}"));
        Assert.Empty(await api.Json("record?to=2020-01-01"));
    }

    [Fact]
    public async Task One_entry_and_the_state_of_the_chain_are_told()
    {
        var entry = await api.Client.GetFromJsonAsync<JsonElement>(ApiClient.Address("record/1"));
        Assert.Equal(1, entry.GetProperty("number").GetInt64());
        await host.Services.GetRequiredService<Web.Features.Record.RecordWatch>().VerifyAsync();
        var state = await api.Client.GetFromJsonAsync<JsonElement>(ApiClient.Address("record/state"));
        Assert.Equal("whole", state.GetProperty("state").GetString());
        Assert.Equal("There is no record entry '999999'.", await api.Refused("record/999999", HttpStatusCode.NotFound));
        Assert.Equal("The id of a record entry is a whole number; found 'x'.", await api.Refused("record/x", HttpStatusCode.BadRequest));
    }

    // Written from the description, not by calling the program's own.
    private static string Canonical(JsonElement item)
    {
        var text = new StringBuilder("phasekeeper-record/1\n");
        foreach (var field in Hashed)
        {
            var value = item.GetProperty(field == "time" ? "taiNs" : field);
            text.Append(field).Append(value.ValueKind == JsonValueKind.Null ? ":-" : $":{Encoding.UTF8.GetByteCount(value.ToString())}:{value}").Append('\n');
        }
        return text.ToString();
    }
}
