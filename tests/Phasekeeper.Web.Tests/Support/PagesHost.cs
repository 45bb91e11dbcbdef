using System.Net;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>The application on the demo's profile, with the packets of its first two orbits processed and nothing arriving after them.</summary>
public sealed class PagesHost : WebApplicationFactory<Program>, IAsyncLifetime
{
    private readonly string folder = Directory.CreateTempSubdirectory("phasekeeper-mission-").FullName;

    /// <summary>The complete orbit whose data are in.</summary>
    public int Orbit { get; private set; }

    /// <summary>The stores behind the pages.</summary>
    public Stores Stores => Services.GetRequiredService<Stores>();

    /// <summary>The engine.</summary>
    public PipelineEngine Engine => Services.GetRequiredService<PipelineEngine>();

    /// <inheritdoc/>
    public async Task InitializeAsync()
    {
        var generator = new ScenarioGenerator(DemoScenario.Default, events: []);
        generator.WriteProfile(Path.Combine(folder, "profile"));
        await Engine.Ready;
        var intake = Services.GetRequiredService<IntakeService>();
        var start = generator.Scenario.Start;
        await intake.IngestAsync(generator.PacketsFor(generator.FirstPacket, start.AddSeconds(2.5 * generator.Orbit.PeriodS)), "test");
        while (!intake.Figures().Idle) await Task.Delay(50);
        Orbit = Stores.Orbits.Newest(10).First(o => o.ReceivedExposures >= o.ExpectedExposures && o.ExpectedExposures > 40).Orbit;
    }

    /// <inheritdoc/>
    Task IAsyncLifetime.DisposeAsync() => DisposeAsync().AsTask();

    /// <inheritdoc/>
    protected override void ConfigureWebHost(IWebHostBuilder builder)
    {
        builder.UseSetting("Phasekeeper:Profile", Path.Combine(folder, "profile"));
        builder.UseSetting("Phasekeeper:Data", Path.Combine(folder, "data"));
        builder.ConfigureServices(services => services.AddSingleton<IStartupFilter>(new LoopbackCaller()));
    }

    /// <inheritdoc/>
    protected override void Dispose(bool disposing)
    {
        base.Dispose(disposing);
        if (disposing && Directory.Exists(folder)) Directory.Delete(folder, recursive: true);
    }

    private sealed class LoopbackCaller : IStartupFilter
    {
        public Action<IApplicationBuilder> Configure(Action<IApplicationBuilder> next) => app =>
        {
            app.Use((context, pass) =>
            {
                context.Connection.RemoteIpAddress = IPAddress.Loopback;
                return pass(context);
            });
            next(app);
        };
    }
}

/// <summary>One host for all tests of pages that need data.</summary>
[CollectionDefinition(Name)]
public sealed class PagesTests : ICollectionFixture<PagesHost>
{
    /// <summary>Name of the collection.</summary>
    public const string Name = "pages";
}
