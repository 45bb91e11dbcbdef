using System.Net;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Record;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Record;

public sealed class RecordPagesTests(WebHost host) : IClassFixture<WebHost>, IAsyncLifetime
{
    private long number;

    public async Task InitializeAsync()
    {
        using var client = host.CreateClient();
        await host.Services.GetRequiredService<PipelineEngine>().Ready;
        await host.Services.GetRequiredService<RecordWatch>().VerifyAsync();
        number = await host.Stores.Database.WriteAsync(t => RecordStore.Append(t, new Actor("ada", Roles.Operator, "10.0.0.9"), RecordKinds.FlagAcknowledge, "flag-77", new { State = "raised", Limit = 5 }, new { State = "acknowledged", Limit = 5 }, "Heater off, known.",
            Instant.FromUtc(2031, 3, 2, 8, 0, 0)));
    }

    public Task DisposeAsync() => Task.CompletedTask;

    [Fact]
    public async Task The_list_shows_who_what_and_why_and_the_state_of_the_chain()
    {
        var page = await Page("/record");
        foreach (var text in new[] { "flag acknowledged", "ada", "operator, 10.0.0.9", "state raised → acknowledged", "Heater off, known.", "2031-03-02 08:00:00", "whole", $"href=\"/record/{number}\"", "/api/v1/record?" })
            Assert.Contains(text, page, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("person=ada", true)]
    [InlineData("person=system", false)]
    [InlineData("what=flag.acknowledge", true)]
    [InlineData("what=rules.adopt", false)]
    [InlineData("subject=flag-77", true)]
    [InlineData("q=heater", true)]
    [InlineData("q=cooler", false)]
    [InlineData("from=2031-03-02&to=2031-03-02", true)]
    [InlineData("to=2031-03-01", false)]
    [InlineData("from=2031-03-03", false)]
    public async Task Filters_stand_in_the_address(string query, bool isShown)
    {
        var page = await Page("/record?" + query);
        Assert.DoesNotContain("address-notes", page, StringComparison.Ordinal);
        Assert.Equal(isShown, page.Contains("Heater off, known.", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Where_nothing_matches_the_page_says_what_makes_entries() =>
        Assert.Contains("Every decision and change makes an entry here", await Page("/record?q=no-such-words"), StringComparison.Ordinal);

    [Fact]
    public async Task An_entry_lays_before_beside_after()
    {
        var page = await Page($"/record/{number}");
        Assert.Matches("entry-changed.*state.*<del[^>]*>raised</del>.*<ins[^>]*>acknowledged</ins>.*changed", page.ReplaceLineEndings(" "));
        Assert.Matches("entry-same.*limit", page.ReplaceLineEndings(" "));
        Assert.Contains("href=\"/flags/flag-77\"", page, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("999999")]
    [InlineData("nonsense")]
    public async Task An_entry_that_is_not_there_is_told(string place) => Assert.Contains("There is no such entry", await Page("/record/" + place), StringComparison.Ordinal);

    [Fact]
    public void Values_are_laid_side_by_side_whatever_their_shape()
    {
        Assert.Equal([new("a", "1", "1"), new("b[0].c", "x", null), new("b", null, "[]"), new("d", null, "–")],
            RecordDifferences.Of("""{"a":1,"b":[{"c":"x"}]}""", """{"a":1,"b":[],"d":null}""").OrderBy(d => d.Path, StringComparer.Ordinal).OrderBy(d => d.Path[0]).ThenByDescending(d => d.Path.Length));
        Assert.Equal([new("", null, "no JSON")], RecordDifferences.Of(null, "no JSON"));
        Assert.Empty(RecordDifferences.Of(null, null));
    }

    [Fact]
    public void Every_kind_has_words_of_its_own()
    {
        var kinds = typeof(RecordKinds).GetFields().Where(f => f.IsLiteral).Select(f => (string)f.GetRawConstantValue()!).ToArray();
        Assert.True(kinds.Length > 15);
        Assert.DoesNotContain(kinds, k => RecordWords.Kind(k) == k);
        Assert.Equal(kinds.Length, kinds.Select(RecordWords.Kind).Distinct().Count());
    }

    [Fact]
    public void An_entry_about_coefficients_leads_to_the_proposal()
    {
        RecordEntry Entry(string what, string? after) => new() { Number = 1, Time = Instant.FromUtc(2031, 3, 2), Person = "lea", Role = Roles.CalibrationLead, What = what, Subject = "ground 2", After = after, Hash = [], Previous = [] };
        Assert.Equal("/coefficients/proposals/7", RecordWords.Link(Entry(RecordKinds.CoefficientsPropose, """{"id":7}""")));
        Assert.Equal("/coefficients/proposals/8", RecordWords.Link(Entry(RecordKinds.CoefficientsApprove, """{"inForce":8,"from":"x"}""")));
        Assert.Equal("/coefficients", RecordWords.Link(Entry(RecordKinds.CoefficientsDecline, null)));
    }

    private async Task<string> Page(string address)
    {
        using var client = host.CreateClient();
        return WebUtility.HtmlDecode(await client.GetStringAsync(new Uri(address, UriKind.Relative)));
    }
}
