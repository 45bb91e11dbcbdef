using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Storage;
using Phasekeeper.Tests;
using Phasekeeper.Web.Api.Access;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>
/// The program on a real port with a few orbits of the demo mission, one of them without its packets, so that there is something to find.
/// </summary>
public sealed class MissionServer : WebApplicationFactory<Program>, IAsyncLifetime
{
    private static readonly TimeSpan LongestWait = TimeSpan.FromMinutes(4);
    private readonly string folder = Directory.CreateTempSubdirectory("phasekeeper-journey-").FullName;

    /// <summary>Address of the server.</summary>
    public Uri Address { get; private set; } = default!;

    /// <summary>Answers of the API, for what a page must show.</summary>
    public HttpClient Api { get; } = new();

    /// <inheritdoc/>
    public async Task InitializeAsync()
    {
        var generator = new ScenarioGenerator(DemoScenario.Default, events: []);
        generator.WriteProfile(Path.Combine(folder, "profile"));
        UseKestrel(0);
        StartServer();
        Address = ClientOptions.BaseAddress;
        Api.BaseAddress = Address;
        var start = DemoScenario.Default.Start;
        await Post(generator.PacketsFor(start, start.AddSeconds(3 * 3600)));
        await Post(generator.PacketsFor(start.AddSeconds(5.5 * 3600), start.AddSeconds(9 * 3600)));
        using var timeout = new CancellationTokenSource(LongestWait);
        while (!(await Json("/api/v1/ingest")).GetProperty("idle").GetBoolean()) await Task.Delay(200, timeout.Token);
        await Propose();
        await ProposeRule();
    }

    /// <summary>JSON of an address.</summary>
    public Task<JsonElement> Json(string path) => Api.GetFromJsonAsync<JsonElement>(new Uri(path, UriKind.Relative));

    async Task IAsyncLifetime.DisposeAsync()
    {
        Api.Dispose();
        await DisposeAsync();
        TestFolder.Delete(folder);
    }

    /// <inheritdoc/>
    protected override void ConfigureWebHost(IWebHostBuilder builder)
    {
        builder.UseSetting("Phasekeeper:Profile", Path.Combine(folder, "profile"));
        builder.UseSetting("Phasekeeper:Data", Path.Combine(folder, "data"));
        // The demo's sign-in, as somebody who sees every page; no setting can offer it beside a profile.
        builder.ConfigureServices(services => services.AddSingleton(new DemoAccess(IsOffered: true, DefaultRole: Roles.Administrator)));
    }

    // Something to decide about; its evidence is computed meanwhile.
    private async Task Propose()
    {
        await PostJson("coefficients/proposals", new
        {
            @base = 1,
            name = "another lag",
            validFrom = DemoScenario.Default.Start.ToString(),
            reason = "The lamp lags behind.",
            changes = new[] { new { number = "optics.thermal.lagS", view = "F", line = "green", value = 431 } },
        });
    }

    // A rule to decide about, as it was rehearsed.
    private async Task ProposeRule()
    {
        var run = await PostJson("rules/rehearsals", new { rule = new { kind = "data-gap", parameters = new { noticeLimit = 900 } } });
        using var timeout = new CancellationTokenSource(LongestWait);
        while ((await Json($"/api/v1/rules/rehearsals/{run.GetProperty("id")}")).GetProperty("state").GetString() == "running") await Task.Delay(100, timeout.Token);
        await PostJson("rules/proposals", new { rehearsal = run.GetProperty("id").GetInt64(), reason = "Short gaps are no matter." });
    }

    private async Task<JsonElement> PostJson(string call, object body)
    {
        using var answer = await Api.PostAsJsonAsync(new Uri($"/api/v1/{call}", UriKind.Relative), body);
        answer.EnsureSuccessStatusCode();
        return await answer.Content.ReadFromJsonAsync<JsonElement>();
    }

    private async Task Post(byte[] packets)
    {
        using var body = new ByteArrayContent(packets);
        using var answer = await Api.PostAsync(new Uri("/api/v1/packets", UriKind.Relative), body);
        answer.EnsureSuccessStatusCode();
    }
}
