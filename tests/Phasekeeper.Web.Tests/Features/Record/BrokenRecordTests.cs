using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Dapper;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;
using Phasekeeper.Tests;
using Phasekeeper.Web.Features.Record;
using Phasekeeper.Web.Hosting;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Record;

/// <summary>A record that other hands have changed: told on every page, at readiness, by the API and by the command; work goes on.</summary>
public sealed class BrokenRecordTests(BrokenRecordTests.Tampered host) : IClassFixture<BrokenRecordTests.Tampered>
{
    private const string Found = "Entry 2 (";

    [Theory]
    [InlineData("/")]
    [InlineData("/flags")]
    [InlineData("/data")]
    [InlineData("/record")]
    [InlineData("/help")]
    public async Task Every_page_says_what_was_found_and_what_to_do(string address)
    {
        using var client = host.CreateClient();
        var page = WebUtility.HtmlDecode(await client.GetStringAsync(new Uri(address, UriKind.Relative)));
        Assert.Contains("The record of decisions is broken in one place.", page, StringComparison.Ordinal);
        Assert.Contains(Found, page, StringComparison.Ordinal);
        Assert.Contains(RecordReport.Advice, page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Readiness_is_degraded_and_says_why_while_the_program_works_on()
    {
        using var client = host.CreateClient();
        using var answer = await client.GetAsync(new Uri("/readyz", UriKind.Relative));
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        var health = await answer.Content.ReadFromJsonAsync<JsonElement>();
        Assert.Equal("degraded", health.GetProperty("status").GetString());
        Assert.Contains(Found, health.GetProperty("checks").GetProperty("record").GetProperty("description").GetString(), StringComparison.Ordinal);
        var state = await client.GetFromJsonAsync<JsonElement>(ApiClient.Address("record/state"));
        Assert.Equal("broken", state.GetProperty("state").GetString());
        Assert.StartsWith(Found, Assert.Single(state.GetProperty("findings").EnumerateArray()).GetString(), StringComparison.Ordinal);
        var before = host.Stores.Record.Head().Entries;
        await host.Stores.Database.WriteAsync(t => RecordStore.Append(t, Actor.System, "test.kind", "goes on", null, null, null));
        Assert.Equal(before + 1, host.Stores.Record.Head().Entries);
    }

    [Fact]
    public async Task Who_is_not_signed_in_learns_that_it_is_broken_and_of_nobody_in_it()
    {
        host.Caller = IPAddress.Parse("192.0.2.7"); // RFC 5737: an address for documentation
        try
        {
            using var client = host.CreateClient();
            var health = await client.GetStringAsync(new Uri("/readyz", UriKind.Relative));
            Assert.Contains("degraded", health, StringComparison.Ordinal);
            Assert.DoesNotContain(Found, health, StringComparison.Ordinal);
            Assert.DoesNotContain("record-banner", await client.GetStringAsync(new Uri("/sign-in", UriKind.Relative)), StringComparison.Ordinal);
        }
        finally
        {
            host.Caller = IPAddress.Loopback;
        }
    }

    [Fact]
    public void The_command_names_the_place_and_ends_with_one()
    {
        using var output = new StringWriter();
        Assert.Equal(RecordCommand.Broken, RecordCommand.Run([RecordCommand.Name, "--data", host.Folder], output));
        Assert.Contains("- " + Found, output.ToString(), StringComparison.Ordinal);
        Assert.Contains(RecordReport.Advice, output.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_command_ends_with_zero_for_a_whole_record_and_two_without_one()
    {
        var folder = Directory.CreateTempSubdirectory("phasekeeper-record-").FullName;
        using var output = new StringWriter();
        Assert.Equal(RecordCommand.Unverified, RecordCommand.Run([RecordCommand.Name, "--Phasekeeper:Data", folder], output));
        Assert.Contains("expected the database of a data folder", output.ToString(), StringComparison.Ordinal);
        using (var stores = Stores.Open(folder))
        {
            await stores.Database.WriteAsync(t => RecordStore.Append(t, Actor.System, "test.kind", "one", null, null, null));
            Assert.Equal(RecordCommand.Whole, RecordCommand.Run([RecordCommand.Name, "--Phasekeeper:Data", folder], output));
        }
        Assert.Contains("1 entries read", output.ToString(), StringComparison.Ordinal);
        Assert.True(RecordCommand.IsAsked([RecordCommand.Name]));
        Assert.False(RecordCommand.IsAsked(["--urls", "http://127.0.0.1:1"]));
        TestFolder.Delete(folder);
    }

    /// <summary>A host whose record's second entry was changed by other hands, and then verified.</summary>
    public sealed class Tampered : WebHost, IAsyncLifetime
    {
        /// <summary>Its data folder.</summary>
        public string Folder => DataFolder;

        /// <inheritdoc/>
        public async Task InitializeAsync()
        {
            using var client = CreateClient();
            await Services.GetRequiredService<PipelineEngine>().Ready;
            using (var raw = new SqliteConnection($"Data Source={Stores.Database.Folder.DatabaseFile};Pooling=False"))
            {
                raw.Open();
                var trigger = raw.QuerySingle<string>("SELECT sql FROM sqlite_master WHERE name = 'recordNoUpdate'");
                raw.Execute("DROP TRIGGER recordNoUpdate; UPDATE record SET person = 'nobody' WHERE number = 2;" + trigger);
            }
            Assert.False((await Services.GetRequiredService<RecordWatch>().VerifyAsync()).IsWhole);
        }

        Task IAsyncLifetime.DisposeAsync() => DisposeAsync().AsTask();
    }
}
