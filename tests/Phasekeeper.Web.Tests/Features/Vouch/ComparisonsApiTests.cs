using System.Net;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Vouch;

[Collection(MissionHostGroup.Name)]
public sealed class ComparisonsApiTests(MissionHost host)
{
    private async Task<(HttpStatusCode Status, JsonElement Body)> Post(byte[] body, string name)
    {
        using var content = new ByteArrayContent(body);
        using var answer = await host.Client.PostAsync(new Uri("/api/v1/comparisons?name=" + name, UriKind.Relative), content);
        return (answer.StatusCode, await answer.Content.ReadFromJsonAsync<JsonElement>());
    }

    [Fact]
    public async Task A_set_comes_in_once_gives_pairs_and_statistics_and_goes_again()
    {
        var (status, first) = await Post(TrueWinds.File(-20), "truth%20minus%2020.csv");
        Assert.Equal(HttpStatusCode.OK, status);
        Assert.True(first.GetProperty("added").GetBoolean());
        Assert.False((await Post(TrueWinds.File(-20), "again.csv")).Body.GetProperty("added").GetBoolean());
        await host.WaitUntilIdle();
        var id = first.GetProperty("id").GetInt64();

        var set = (await host.Json("/api/v1/comparisons")).GetProperty("items").EnumerateArray().Single(s => s.GetProperty("id").GetInt64() == id);
        Assert.Equal("truth minus 20.csv", set.GetProperty("name").GetString());
        Assert.Equal("True winds of the demo on a grid.", set.GetProperty("provenance").GetString());
        Assert.True(set.GetProperty("pairs").GetInt64() > 500, set.ToString());

        // Our eastward winds less theirs, which are 20 m/s too low: the offset is found, and the northward winds have none.
        var groups = (await host.Json($"/api/v1/comparisons/{id}/statistics?distanceKm=300")).GetProperty("items").EnumerateArray().ToArray();
        double Bias(string wind) => groups.Single(g => g.GetProperty("wind").GetString() == wind && g.GetProperty("line").GetString() == "green").GetProperty("biasMs").GetDouble();
        Assert.InRange(Bias("eastward"), 14, 26);
        Assert.InRange(Bias("northward"), -6, 6);
        Assert.Equal(["A", "F"], groups.Where(g => g.GetProperty("wind").GetString() == "lineOfSight" && g.GetProperty("line").GetString() == "green").Select(g => g.GetProperty("view").GetString()!).Order());
        var correlation = groups.Single(g => g.GetProperty("wind").GetString() == "eastward" && g.GetProperty("line").GetString() == "green").GetProperty("correlation").GetDouble();
        Assert.InRange(correlation, 0.8, 1);

        var csv = await host.Csv($"/api/v1/comparisons/{id}/statistics?by=altitude");
        Assert.StartsWith("wind,view,line,by,binFrom,binTo,pairs,orbits,biasMs,biasSigmaMs,medianMs,spreadMs,expectedSpreadMs,correlation,", csv[0], StringComparison.Ordinal);
        Assert.Contains(csv, l => l.Contains(",altitude,90,100,", StringComparison.Ordinal));
        Assert.True((await host.Csv($"/api/v1/comparisons/{id}/pairs?wind=los-F")).Length > 50);
        foreach (var plot in new[] { "scatter?wind=eastward", "bias?by=altitude", "bias?by=localTime" })
        {
            var document = await host.Json($"/api/v1/plots/vouch/{plot}&set={id}");
            Assert.NotEmpty(document.GetProperty("summary").GetString()!);
            Assert.True(document.GetProperty("traces").GetArrayLength() > 0);
        }
        var page = await host.Page($"/vouch?set={id}&distanceKm=300");
        Assert.Contains("Ours minus theirs", page, StringComparison.Ordinal);
        Assert.Contains("eastward wind", page, StringComparison.Ordinal);

        using var gone = await host.Client.DeleteAsync(new Uri($"/api/v1/comparisons/{id}", UriKind.Relative));
        Assert.Equal(HttpStatusCode.NoContent, gone.StatusCode);
        using var missing = await host.Client.GetAsync(new Uri($"/api/v1/comparisons/{id}/statistics", UriKind.Relative));
        Assert.Equal(HttpStatusCode.NotFound, missing.StatusCode);
    }

    [Fact]
    public async Task A_set_brought_after_another_was_forgotten_is_itself()
    {
        // The database gives the number of the forgotten set to the next one.
        foreach (var offset in new[] { -20, -60 })
        {
            var id = (await Post(TrueWinds.File(offset), $"{-offset}.csv")).Body.GetProperty("id").GetInt64();
            await host.WaitUntilIdle();
            var groups = (await host.Json($"/api/v1/comparisons/{id}/statistics?distanceKm=300")).GetProperty("items").EnumerateArray();
            var bias = groups.Single(g => g.GetProperty("wind").GetString() == "eastward" && g.GetProperty("line").GetString() == "green").GetProperty("biasMs").GetDouble();
            using var gone = await host.Client.DeleteAsync(new Uri($"/api/v1/comparisons/{id}", UriKind.Relative));
            Assert.Equal(HttpStatusCode.NoContent, gone.StatusCode);
            Assert.InRange(bias, -offset - 6, -offset + 6);
        }
    }

    [Fact]
    public async Task All_mistakes_of_a_file_are_answered_together_and_nothing_is_kept()
    {
        var (status, problem) = await Post(Encoding.UTF8.GetBytes("time,latitudeDeg,speed\n2031-04-10T00:00:00Z,1,2\n"), "mine.csv");
        Assert.Equal(HttpStatusCode.BadRequest, status);
        var detail = problem.GetProperty("detail").GetString()!;
        Assert.Contains("mine.csv, line 1: found no column longitudeDeg", detail, StringComparison.Ordinal);
        Assert.Contains("found the column 'speed'", detail, StringComparison.Ordinal);
        Assert.DoesNotContain((await host.Json("/api/v1/comparisons")).GetProperty("items").EnumerateArray(), s => s.GetProperty("name").GetString() == "mine.csv");
    }

    [Theory]
    [InlineData("1e9/statistics", HttpStatusCode.BadRequest)]
    [InlineData("999999/statistics", HttpStatusCode.NotFound)]
    [InlineData("999999/pairs?distanceKm=5000", HttpStatusCode.BadRequest)]
    [InlineData("999999/statistics?by=colour", HttpStatusCode.BadRequest)]
    [InlineData("999999/pairs?wind=upward", HttpStatusCode.BadRequest)]
    public async Task A_wrong_question_is_answered_with_what_was_expected(string path, HttpStatusCode expected)
    {
        using var answer = await host.Client.GetAsync(new Uri("/api/v1/comparisons/" + path, UriKind.Relative));
        Assert.Equal(expected, answer.StatusCode);
        Assert.NotEmpty((await answer.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("detail").GetString()!);
    }

    [Fact]
    public async Task The_zero_wind_of_a_young_mission_says_that_it_cannot_tell()
    {
        var items = (await host.Json("/api/v1/zero-wind")).GetProperty("items").EnumerateArray().ToArray();
        Assert.NotEmpty(items);
        Assert.All(items, i => Assert.Equal("cannotTellYet", i.GetProperty("status").GetString()));
        Assert.All(items, i => Assert.NotEmpty(i.GetProperty("reasons").EnumerateArray()));
    }

    [Theory]
    [InlineData("/vouch", "Bring a set")]
    [InlineData("/vouch", "eastwardSigmaMs")]
    [InlineData("/vouch?tab=zero", "cannot be told apart")]
    [InlineData("/vouch?tab=zero", "the geometry cannot tell yet")]
    [InlineData("/help", "Vouching for winds")]
    public async Task Pages_say_what_to_bring_and_what_cannot_be_told(string address, string text) => Assert.Contains(text, await host.Page(address), StringComparison.Ordinal);
}
