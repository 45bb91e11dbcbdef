using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Storage;
using Phasekeeper.Tests;
using Phasekeeper.Web.Api.Access;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>The application in memory, with the demo's profile and no data. The test server has no connection, so the caller's address is set here.</summary>
public class WebHost : WebApplicationFactory<Program>
{
    /// <summary>Token that the host knows.</summary>
    public const string Token = "a token of this test only";

    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(3);
    private readonly string data = Directory.CreateTempSubdirectory("phasekeeper-web-").FullName;

    /// <summary>Address that requests come from.</summary>
    public IPAddress Caller { get; set; } = IPAddress.Loopback;

    /// <summary>The stores behind the pages.</summary>
    public Stores Stores => Services.GetRequiredService<Stores>();

    /// <summary>Sends packets to the one road in.</summary>
    public async Task<JsonElement> Post(byte[] packets)
    {
        using var client = CreateClient();
        using var content = new ByteArrayContent(packets);
        using var answer = await client.PostAsync(ApiClient.Address("packets"), content);
        answer.EnsureSuccessStatusCode();
        return await answer.Content.ReadFromJsonAsync<JsonElement>();
    }

    /// <summary>The figures of intake, as the API tells them.</summary>
    public async Task<IntakeFigures> Figures()
    {
        using var client = CreateClient();
        return (await client.GetFromJsonAsync<IntakeFigures>(ApiClient.Address("ingest"), Web.Api.ApiJson.Options))!;
    }

    /// <summary>Waits until everything received is processed.</summary>
    public async Task WaitUntilIdle()
    {
        using var patience = new CancellationTokenSource(Patience);
        while (!(await Figures()).Idle) await Task.Delay(50, patience.Token);
    }

    /// <summary>Folder of everything that the program writes.</summary>
    protected string DataFolder => data;

    /// <summary>Whether the demo's sign-in is offered; without it a host is as a mission of one's own is.</summary>
    protected virtual bool SignsIn => true;

    /// <summary>Profile folder.</summary>
    protected virtual string Profile => DemoProfile.Folder;

    /// <inheritdoc/>
    protected override void ConfigureWebHost(IWebHostBuilder builder)
    {
        builder.UseSetting("Phasekeeper:Bootstrap:Token", Token);
        builder.UseSetting("Phasekeeper:Data", data);
        builder.UseSetting("Phasekeeper:Profile", Profile);
        builder.ConfigureServices(services =>
        {
            services.AddSingleton<IStartupFilter>(new CallerFilter(this));
            // The demo's sign-in, which no setting can offer beside a profile: only code can.
            if (SignsIn) services.AddSingleton(new DemoAccess(IsOffered: true));
        });
    }

    /// <inheritdoc/>
    protected override void Dispose(bool disposing)
    {
        base.Dispose(disposing);
        if (disposing) TestFolder.Delete(data);
    }

    private sealed class CallerFilter(WebHost host) : IStartupFilter
    {
        public Action<IApplicationBuilder> Configure(Action<IApplicationBuilder> next) => app =>
        {
            app.Use((context, pass) =>
            {
                context.Connection.RemoteIpAddress = host.Caller;
                return pass(context);
            });
            next(app);
        };
    }
}
