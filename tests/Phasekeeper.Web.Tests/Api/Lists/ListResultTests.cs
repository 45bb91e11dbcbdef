using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Time;
using Phasekeeper.Web.Api.Lists;

namespace Phasekeeper.Web.Tests.Api.Lists;

public sealed class ListResultTests : IAsyncLifetime
{
    private static readonly Row Full = new(Instant.FromUtc(2031, 3, 1, 12, 0, 0.25), 17, 0.1 + 0.2, "one, \"two\"", Verdict.NotYet, ["lamp lost", "gap"], 3.5);
    private static readonly Row Sparse = new(Instant.FromUtc(2031, 3, 1, 13), 18, double.NaN, null, Verdict.Usable, [], null);

    private readonly ListHost host = new();

    public Task InitializeAsync() => host.InitializeAsync();

    public Task DisposeAsync() => host.DisposeAsync();

    [Fact]
    public async Task Json_has_items_and_next_with_missing_numbers_as_null_and_enumerations_as_words()
    {
        (host.Rows, host.Next) = ([Full, Sparse], "abc");
        using var answer = await host.Ask();
        Assert.Equal(
            """{"items":[{"time":"2031-03-01T12:00:00.250Z","orbit":17,"phaseRad":0.30000000000000004,"message":"one, \u0022two\u0022","verdict":"notYet","qualityReasons":["lamp lost","gap"],"sigmaMs":3.5},{"time":"2031-03-01T13:00:00Z","orbit":18,"phaseRad":null,"message":null,"verdict":"usable","qualityReasons":[],"sigmaMs":null}],"next":"abc"}""",
            await answer.Content.ReadAsStringAsync());
    }

    [Fact]
    public async Task Csv_has_a_header_line_empty_missing_numbers_and_lists_joined_by_semicolons()
    {
        (host.Rows, host.Next) = ([Full, Sparse], null);
        using var answer = await host.Ask(accept: "text/csv");
        Assert.Equal("text/csv", answer.Content.Headers.ContentType!.MediaType);
        Assert.Equal(
            "time,orbit,phaseRad,message,verdict,qualityReasons,sigmaMs\n"
            + "2031-03-01T12:00:00.250Z,17,0.30000000000000004,\"one, \"\"two\"\"\",notYet,lamp lost;gap,3.5\n"
            + "2031-03-01T13:00:00Z,18,,,usable,,\n",
            await answer.Content.ReadAsStringAsync());
        Assert.False(answer.Headers.Contains("Link"));
    }

    [Theory]
    [InlineData("=HYPERLINK(1)", "'=HYPERLINK(1)")]
    [InlineData("@SUM(1)", "'@SUM(1)")]
    [InlineData("-1+2", "'-1+2")]
    [InlineData("\t=1", "'\t=1")]
    [InlineData("'=1", "''=1")]
    [InlineData("a = 1", "a = 1")]
    [InlineData("'quoted'", "'quoted'")]
    public async Task Csv_holds_no_text_that_a_spreadsheet_computes(string text, string written)
    {
        (host.Rows, host.Next) = ([Full with { PhaseRad = -1.5, Message = text, QualityReasons = [text] }], null);
        using var answer = await host.Ask(accept: "text/csv");
        Assert.Equal($"2031-03-01T12:00:00.250Z,17,-1.5,{written},notYet,{written},3.5", (await answer.Content.ReadAsStringAsync()).Split('\n')[1]);
    }

    [Fact]
    public async Task Csv_names_the_next_page_in_a_link_header_that_keeps_the_query()
    {
        (host.Rows, host.Next) = ([Full], "a/b+c");
        using var answer = await host.Ask("?from=2031-03-01&limit=1", "text/csv");
        Assert.Equal("</api/v1/rows?from=2031-03-01&limit=1&next=a%2Fb%2Bc>; rel=\"next\"", answer.Headers.GetValues("Link").Single());
    }

    [Theory]
    [InlineData(null, false)]
    [InlineData("*/*", false)]
    [InlineData("application/json", false)]
    [InlineData("text/csv", true)]
    [InlineData("text/csv, */*", true)]
    [InlineData("text/csv;q=0.5, application/json", false)]
    [InlineData("application/json;q=0.1, text/*", true)]
    public async Task The_accept_header_decides_between_json_and_csv(string? accept, bool csv)
    {
        using var answer = await host.Ask(accept: accept);
        Assert.Equal(csv ? "text/csv" : "application/json", answer.Content.Headers.ContentType!.MediaType);
        Assert.Contains("Accept", answer.Headers.Vary);
    }

    [Fact]
    public async Task A_link_in_a_browser_can_ask_for_a_csv_file()
    {
        using var answer = await host.Ask("?format=csv", "text/html");
        Assert.Equal("rows.csv", answer.Content.Headers.ContentDisposition!.FileName!.Trim('"'));
    }

    [Fact]
    public async Task A_long_list_arrives_whole()
    {
        host.Rows = [.. Enumerable.Range(0, 20_000).Select(i => Sparse with { Orbit = i })];
        using var json = await host.Ask();
        var items = (await json.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("items");
        Assert.Equal(20_000, items.GetArrayLength());
        Assert.Equal(19_999, items[19_999].GetProperty("orbit").GetInt32());
        using var csv = await host.Ask(accept: "text/csv");
        Assert.Equal(20_001, (await csv.Content.ReadAsStringAsync()).Count(c => c == '\n'));
    }

    [Fact]
    public async Task Range_limit_and_continuation_are_read()
    {
        using var answer = await host.Ask("?from=2031-03-01T06:00:00%2B02:00&to=2031-060T05:00:00Z&limit=1000000&next=n1");
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        Assert.Equal(new ListRange(Instant.FromUtc(2031, 3, 1, 4), Instant.FromUtc(2031, 3, 1, 5), 1_000_000, "n1"), host.Asked);
    }

    [Theory]
    [InlineData("?from=yesterday", "Query parameter 'from': found 'yesterday'; expected ISO 8601 UTC")]
    [InlineData("?from=2031-03-02&to=2031-03-01", "ends before it starts")]
    [InlineData("?limit=0", "Query parameter 'limit': found '0'; expected a whole number from 1 to 1000000")]
    [InlineData("?limit=1000001", "found '1000001'")]
    [InlineData("?limit=many", "found 'many'")]
    [InlineData("?format=xml", "expected one of csv, json")]
    public async Task A_mistake_in_the_query_is_answered_with_what_was_found_and_expected(string query, string message)
    {
        using var answer = await host.Ask(query);
        Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
        var problem = await answer.Content.ReadFromJsonAsync<ProblemDetails>();
        Assert.Contains(message, problem!.Detail, StringComparison.Ordinal);
    }
}
