using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Hosting;

public sealed class HostTests(WebHost host) : IClassFixture<WebHost>
{
    private readonly HttpClient client = host.CreateClient();

    [Fact]
    public async Task The_first_page_is_rendered_on_the_server_with_its_landmarks()
    {
        var page = await client.GetStringAsync(new Uri("/", UriKind.Relative));
        Assert.Contains("<main id=\"content\"", page, StringComparison.Ordinal);
        Assert.Contains("<nav class=\"main-nav\" aria-label=\"Main\"", page, StringComparison.Ordinal);
        Assert.Contains("class=\"skip-link\"", page, StringComparison.Ordinal);
        Assert.Contains("<h1", page, StringComparison.Ordinal);
        Assert.DoesNotContain("https://", page, StringComparison.Ordinal); // nothing is fetched from elsewhere
    }

    [Fact]
    public async Task Pages_carry_a_content_security_policy_without_inline_scripts()
    {
        using var answer = await client.GetAsync(new Uri("/", UriKind.Relative));
        var policy = Assert.Single(answer.Headers.GetValues("Content-Security-Policy"));
        Assert.Contains("script-src 'self';", policy, StringComparison.Ordinal);
        Assert.Equal("nosniff", Assert.Single(answer.Headers.GetValues("X-Content-Type-Options")));
    }

    [Theory]
    [InlineData("/" + PlotScripts.Lines)]
    [InlineData("/" + PlotScripts.HeatMaps)]
    [InlineData("/Shared/Plots/PlotView.razor.js")]
    [InlineData("/_framework/blazor.web.js")]
    [InlineData("/css/tokens.css")]
    public async Task Scripts_and_styles_are_served_by_ourselves(string path)
    {
        using var answer = await client.GetAsync(new Uri(path, UriKind.Relative), HttpCompletionOption.ResponseHeadersRead);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
    }

    [Fact]
    public async Task Liveness_and_readiness_are_answered()
    {
        Assert.Equal("healthy", (await client.GetFromJsonAsync<JsonElement>(new Uri("/healthz", UriKind.Relative))).GetProperty("status").GetString());
        Assert.Equal(HttpStatusCode.OK, (await client.GetAsync(new Uri("/readyz", UriKind.Relative))).StatusCode);
    }

    [Fact]
    public async Task The_api_describes_itself()
    {
        var document = await client.GetFromJsonAsync<JsonElement>(new Uri("/openapi/v1.json", UriKind.Relative));
        Assert.Equal("Phasekeeper", document.GetProperty("info").GetProperty("title").GetString());
    }

    [Fact]
    public async Task An_unknown_call_is_answered_with_problem_details()
    {
        using var answer = await client.GetAsync(new Uri("/api/v1/no-such-call", UriKind.Relative));
        Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
        Assert.Equal("application/problem+json", answer.Content.Headers.ContentType!.MediaType);
        Assert.Contains("/openapi/v1.json", await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Metrics_are_prometheus_text()
    {
        using var answer = await client.GetAsync(new Uri("/metrics", UriKind.Relative));
        Assert.Equal("text/plain", answer.Content.Headers.ContentType!.MediaType);
        var lines = (await answer.Content.ReadAsStringAsync()).TrimEnd('\n').Split('\n');
        Assert.All(lines, line => Assert.Matches(@"^(# (HELP|TYPE) [a-z_][a-z0-9_]* .*|[a-z_][a-z0-9_]*(\{.*\})? -?[0-9.E+-]+)$", line));
        Assert.Contains(lines, line => line.StartsWith("dotnet_process_cpu_count ", StringComparison.Ordinal));
    }
}
