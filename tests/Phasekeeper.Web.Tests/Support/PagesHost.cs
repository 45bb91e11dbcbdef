using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>The application with the first two and a half orbits of the demo mission processed and nothing arriving after them.</summary>
public sealed class PagesHost : WebHost, IAsyncLifetime
{
    /// <summary>A complete orbit whose data are in.</summary>
    public int Orbit { get; private set; }

    /// <summary>The stores behind the pages.</summary>
    public Stores Stores => Services.GetRequiredService<Stores>();

    /// <summary>The engine.</summary>
    public PipelineEngine Engine => Services.GetRequiredService<PipelineEngine>();

    /// <inheritdoc/>
    public async Task InitializeAsync()
    {
        var generator = DemoProfile.Generator;
        await Engine.Ready;
        var intake = Services.GetRequiredService<IntakeService>();
        await intake.IngestAsync(generator.PacketsFor(generator.FirstPacket, generator.Scenario.Start.AddSeconds(2.5 * generator.Orbit.PeriodS)), "test");
        while (!intake.Figures().Idle) await Task.Delay(50);
        Orbit = Stores.Orbits.Newest(10).First(o => o.ReceivedExposures >= o.ExpectedExposures && o.ExpectedExposures > 40).Orbit;
    }

    /// <inheritdoc/>
    Task IAsyncLifetime.DisposeAsync() => DisposeAsync().AsTask();
}

/// <summary>One host for all tests of pages that need data.</summary>
[CollectionDefinition(Name)]
public sealed class PagesCollection : ICollectionFixture<PagesHost>
{
    /// <summary>Name of the collection.</summary>
    public const string Name = "pages";
}
