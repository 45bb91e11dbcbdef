using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Benchmarks;

/// <summary>The program on a mission's folder (profile and data), within this process, over HTTP on this machine; everybody is administrator.</summary>
internal sealed class MissionProgram(string folder) : WebApplicationFactory<PhasekeeperOptions>
{
    /// <summary>Starts it; the client knows its address.</summary>
    public HttpClient Start()
    {
        UseKestrel(0);
        StartServer();
        return new HttpClient { BaseAddress = ClientOptions.BaseAddress, Timeout = TimeSpan.FromMinutes(10) };
    }

    /// <summary>Waits until the mission is open and the engine has nothing left to do.</summary>
    public async Task UntilIdleAsync(HttpClient client)
    {
        // Before it is open there is nothing to do either.
        while (Services.GetRequiredService<PipelineEngine>().Mission is null) await Task.Delay(10);
        while (!(await client.GetFromJsonAsync<JsonElement>(new Uri("/api/v1/ingest", UriKind.Relative))).GetProperty("idle").GetBoolean()) await Task.Delay(100);
    }

    protected override void ConfigureWebHost(IWebHostBuilder builder)
    {
        builder.UseSetting("Phasekeeper:Profile", Path.Combine(folder, "profile"));
        builder.ConfigureLogging(logging => logging.ClearProviders());
        builder.UseSetting("Phasekeeper:Data", Path.Combine(folder, "data"));
        builder.ConfigureServices(services => services.AddSingleton(new DemoAccess(IsOffered: true, DefaultRole: Roles.Administrator)));
    }
}
