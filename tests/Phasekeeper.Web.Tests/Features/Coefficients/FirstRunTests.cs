using System.Net;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Coefficients;

/// <summary>Pages about coefficients on a mission of which no packet has arrived.</summary>
public sealed class FirstRunTests(WebHost host) : IClassFixture<WebHost>
{
    [Theory]
    [InlineData("/coefficients", "In force now|First set of the mission.|Nothing was decided that changes products|Change numbers by hand|Bring a set")]
    [InlineData("/coefficients/fit", "No orbit with exposures yet|A fit needs lamp, dark or scene exposures")]
    [InlineData("/coefficients/proposals/1", "First set of the mission.|by profile")]
    [InlineData("/coefficients/proposals/2", "There is no such proposal")]
    public async Task A_page_says_what_is_and_what_comes(string address, string words)
    {
        using var client = host.CreateClient();
        await host.Services.GetRequiredService<PipelineEngine>().Ready;
        var text = WebUtility.HtmlDecode(await client.GetStringAsync(new Uri(address, UriKind.Relative)));
        foreach (var word in words.Split('|')) Assert.Contains(word, text, StringComparison.Ordinal);
        Assert.DoesNotContain("could not be", text[text.IndexOf("<main", StringComparison.Ordinal)..text.IndexOf("</main>", StringComparison.Ordinal)], StringComparison.Ordinal);
    }
}
