using Microsoft.AspNetCore.Http;
using Phasekeeper.Web.Api.Access;

namespace Phasekeeper.Web.Tests.Api.Access;

/// <summary>Requests that another site's page sends with this browser's cookies.</summary>
public class LoopbackRequestTests
{
    [Theory]
    [InlineData(null, "pk.example:5080", false)] // a script
    [InlineData("http://pk.example:5080", "pk.example:5080", false)]
    [InlineData("http://PK.example", "pk.example", false)]
    [InlineData("https://pk.example", "pk.example", false)] // a proxy that encrypts
    [InlineData("http://[::1]:5080", "[::1]:5080", false)]
    [InlineData("http://pk.example:8000", "pk.example:5080", true)] // another program on the same machine: the same site for cookies
    [InlineData("http://pk.example:8000", "pk.example", true)]
    [InlineData("http://elsewhere.example", "pk.example", true)]
    [InlineData("null", "pk.example", true)] // a sandboxed frame
    public void Without_the_browsers_own_word_the_origin_decides(string? origin, string host, bool isForeign)
    {
        var http = new DefaultHttpContext { Request = { Method = "POST", Host = new HostString(host) } };
        if (origin is not null) http.Request.Headers.Origin = origin;
        Assert.Equal(isForeign, LoopbackRequest.WhyForeign(http.Request) is not null);
    }

    [Theory]
    [InlineData("same-origin", "cors", "POST", false)]
    [InlineData("none", "navigate", "GET", false)]
    [InlineData("cross-site", "navigate", "GET", false)]
    [InlineData("cross-site", "navigate", "POST", true)]
    [InlineData("same-site", "cors", "POST", true)]
    [InlineData("cross-site", "no-cors", "GET", true)]
    public void The_browsers_own_word_counts_before_the_origin(string site, string mode, string method, bool isForeign)
    {
        var http = new DefaultHttpContext { Request = { Method = method, Host = new HostString("127.0.0.1:5080") } };
        // As a proxy leaves it that does not pass the host on.
        http.Request.Headers.Origin = "https://pk.example";
        (http.Request.Headers["Sec-Fetch-Site"], http.Request.Headers["Sec-Fetch-Mode"]) = (site, mode);
        Assert.Equal(isForeign, LoopbackRequest.WhyForeign(http.Request) is not null);
    }
}
