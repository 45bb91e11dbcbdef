using System.Net;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>The application in memory, with the demo's profile and no data. The test server has no connection, so the caller's address is set here.</summary>
public class WebHost : WebApplicationFactory<Program>
{
    /// <summary>Token that the host knows.</summary>
    public const string Token = "a token of this test only";

    private readonly string data = Directory.CreateTempSubdirectory("phasekeeper-web-").FullName;

    /// <summary>Address that requests come from.</summary>
    public IPAddress Caller { get; set; } = IPAddress.Loopback;

    /// <summary>Folder of everything that the program writes.</summary>
    protected string DataFolder => data;

    /// <summary>Profile folder.</summary>
    protected virtual string Profile => DemoProfile.Folder;

    /// <inheritdoc/>
    protected override void ConfigureWebHost(IWebHostBuilder builder)
    {
        builder.UseSetting("Phasekeeper:Bootstrap:Token", Token);
        builder.UseSetting("Phasekeeper:Data", data);
        builder.UseSetting("Phasekeeper:Profile", Profile);
        builder.ConfigureServices(services => services.AddSingleton<IStartupFilter>(new CallerFilter(this)));
    }

    /// <inheritdoc/>
    protected override void Dispose(bool disposing)
    {
        base.Dispose(disposing);
        if (disposing && Directory.Exists(data)) Directory.Delete(data, recursive: true);
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
