using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Storage;
using Phasekeeper.Tests;
using Phasekeeper.Web.Features.SignIn;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>The program on a real port as on a mission of one's own, without data: nobody is let in without a password.</summary>
internal sealed class OwnMissionServer : WebApplicationFactory<Program>
{
    /// <summary>Password of the first administrator, from the setting.</summary>
    public const string AdminPassword = "a long password of the first start";

    private readonly string folder = Directory.CreateTempSubdirectory("phasekeeper-signin-").FullName;

    /// <summary>Further settings.</summary>
    public IReadOnlyDictionary<string, string> Settings { get; init; } = new Dictionary<string, string>();

    /// <summary>The stores behind the pages.</summary>
    public Stores Stores => Services.GetRequiredService<Stores>();

    /// <summary>Starts; gives the address.</summary>
    public Uri Start()
    {
        new ScenarioGenerator(DemoScenario.Default, events: []).WriteProfile(Path.Combine(folder, "profile"));
        UseKestrel(0);
        StartServer();
        return ClientOptions.BaseAddress;
    }

    /// <inheritdoc/>
    protected override void ConfigureWebHost(IWebHostBuilder builder)
    {
        builder.UseSetting("Phasekeeper:Profile", Path.Combine(folder, "profile"));
        builder.UseSetting("Phasekeeper:Data", Path.Combine(folder, "data"));
        builder.UseSetting("Phasekeeper:Bootstrap:AdminPassword", AdminPassword);
        foreach (var (name, value) in Settings) builder.UseSetting(name, value);
        builder.ConfigureServices(services => services.AddSingleton(new SignInTimes(TimeSpan.FromSeconds(1))));
    }

    /// <inheritdoc/>
    protected override void Dispose(bool disposing)
    {
        base.Dispose(disposing);
        if (disposing) TestFolder.Delete(folder);
    }
}
