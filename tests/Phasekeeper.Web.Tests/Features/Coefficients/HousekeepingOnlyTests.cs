using System.Net;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Coefficients;

/// <summary>Pages and calls about coefficients on a mission that has channels and no fringes: each says that there is nothing, none offers anything.</summary>
public sealed class HousekeepingOnlyTests(HousekeepingHost host) : IClassFixture<HousekeepingHost>
{
    [Theory]
    [InlineData("/coefficients", "only housekeeping: nothing turns telemetry into winds")]
    [InlineData("/coefficients?before=1&amp;after=2&amp;day=2031-05-09", "only housekeeping: nothing turns telemetry into winds")]
    [InlineData("/coefficients/fit", "only housekeeping: there is nothing to fit")]
    [InlineData("/coefficients/fit?first=4595&amp;last=4600", "only housekeeping: there is nothing to fit")]
    [InlineData("/coefficients/proposals/1", "only housekeeping: nothing turns telemetry into winds, so nothing is proposed")]
    [InlineData("/coefficients/proposals/junk", "only housekeeping: nothing turns telemetry into winds, so nothing is proposed")]
    public async Task A_page_says_that_there_is_nothing_and_offers_nothing(string address, string words)
    {
        var (status, text) = await Get(WebUtility.HtmlDecode(address));
        Assert.Equal(HttpStatusCode.OK, status);
        var main = WebUtility.HtmlDecode(text[text.IndexOf("<main", StringComparison.Ordinal)..text.IndexOf("</main>", StringComparison.Ordinal)]);
        // Below the line of links that stands above every page.
        main = main[main.IndexOf("<h1", StringComparison.Ordinal)..];
        Assert.Contains(words, main, StringComparison.Ordinal);
        Assert.DoesNotContain("<button", main, StringComparison.Ordinal);
        Assert.DoesNotContain("<input", main, StringComparison.Ordinal);
        Assert.DoesNotContain("/coefficients/fit\"", main, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_mission_has_channels_all_the_same() => Assert.Contains("IFO_T1", (await Get("/channels")).Text, StringComparison.Ordinal);

    [Fact]
    public async Task Lists_of_the_API_are_empty_and_a_set_is_not_there()
    {
        foreach (var list in new[] { "coefficients", "coefficients/proposals" })
        {
            var (status, text) = await Get($"/api/v1/{list}");
            Assert.Equal(HttpStatusCode.OK, status);
            Assert.Contains("\"items\":[]", text, StringComparison.Ordinal);
        }
        Assert.Equal(HttpStatusCode.NotFound, (await Get("/api/v1/coefficients/proposals/1")).Status);
    }

    [Theory]
    [InlineData("proposals", """{"base":1,"name":"x","validFrom":"2031-05-09T00:00:00Z","reason":"r","changes":[]}""")]
    [InlineData("fits", """{"firstOrbit":4595,"lastOrbit":4600,"name":"x","reason":"r"}""")]
    public async Task A_proposal_is_refused_with_a_reason_and_no_failure(string call, string body)
    {
        using var client = host.CreateClient();
        using var content = new StringContent(body, System.Text.Encoding.UTF8, "application/json");
        using var answer = await client.PostAsync(ApiClient.Address($"coefficients/{call}"), content);
        Assert.InRange((int)answer.StatusCode, 400, 499);
        Assert.Contains("\"detail\":", await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    private async Task<(HttpStatusCode Status, string Text)> Get(string address)
    {
        using var client = host.CreateClient();
        using var answer = await client.GetAsync(new Uri(address, UriKind.Relative));
        return (answer.StatusCode, await answer.Content.ReadAsStringAsync());
    }
}
