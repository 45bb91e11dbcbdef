using Phasekeeper.Web.Features.Help;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Help;

public sealed class HelpWordTests(WebHost host) : IClassFixture<WebHost>
{
    // The domain's own list, section 8.
    private static readonly string[] Trade =
    [
        "zero-wind phase", "lamp ratio", "image shift", "fiducial", "visibility", "OPD", "tangent point", "beta angle", "eclipse", "ascending node", "housekeeping", "exposure", "view", "row", "residual",
        "coefficient set", "quarantine", "sign-off",
    ];

    // What pages say beside it.
    private static readonly string[] Pages =
    [
        "planned activity", "expected flag", "settling time", "overrun", "rehearsal", "known event", "flag", "tracker", "forecast", "channel", "line", "mission time", "completeness", "provisional", "held", "verdict", "quality",
        "hand-over note", "digest", "escalation", "quiet hours", "webhook", "averaging kernel", "error budget", "zero wind", "held out", "evidence", "shared view", "pinned note", "ground of a report", "chain", "role", "token",
    ];

    [Fact]
    public void Every_word_of_the_trade_is_explained_once_in_the_order_of_the_alphabet()
    {
        Assert.Equal(Trade.Concat(Pages).Order(StringComparer.OrdinalIgnoreCase), HelpWord.All.Select(w => w.Word));
        Assert.Equal(HelpWord.All.Count, HelpWord.All.Select(w => w.Id).Distinct().Count());
    }

    [Fact]
    public async Task Every_page_leads_to_words_and_keys()
    {
        using var client = host.CreateClient();
        foreach (var page in new[] { "/", "/flags", "/drift", "/views", "/reports", "/reports/day/2031-05-09" })
        {
            var text = await client.GetStringAsync(new Uri(page, UriKind.Relative));
            Assert.Contains("/help#words", text, StringComparison.Ordinal);
            Assert.Contains("/help#keys", text, StringComparison.Ordinal);
        }
        var help = await client.GetStringAsync(new Uri("/help", UriKind.Relative));
        string[] ids = ["words", "keys", "team", .. HelpWord.All.Select(w => w.Id)];
        foreach (var id in ids) Assert.Contains($"id=\"{id}\"", help, StringComparison.Ordinal);
    }
}
