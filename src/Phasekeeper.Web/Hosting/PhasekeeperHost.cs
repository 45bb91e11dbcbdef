using Microsoft.AspNetCore.Hosting.StaticWebAssets;

namespace Phasekeeper.Web.Hosting;

/// <summary>How the host is made: where it listens, where its files are, how large a request may be.</summary>
public static class PhasekeeperHost
{
    /// <summary>Address when neither --urls nor ASPNETCORE_URLS nor Kestrel's endpoints are configured.</summary>
    public const string DefaultUrl = "http://127.0.0.1:5080";

    /// <summary>Largest request body, bytes: 512 MiB, as contract.md section 1 says. Kestrel's own default is 30 MB.</summary>
    public const long LargestBodyBytes = 512L * 1024 * 1024;

    /// <summary>
    /// A builder that behaves the same in every environment: settings are read beside the program (never from the caller's
    /// directory), static web assets of packages are found, and the default address is loopback.
    /// </summary>
    public static WebApplicationBuilder CreateBuilder(string[] args)
    {
        var builder = WebApplication.CreateBuilder(new WebApplicationOptions
        {
            Args = args,
            ContentRootPath = AppContext.BaseDirectory,
        });
        // Without this, blazor.web.js and the packages' files are found only in Development or after a publish.
        StaticWebAssetsLoader.UseStaticWebAssets(builder.Environment, builder.Configuration);
        if (!HasAddress(builder.Configuration)) builder.WebHost.UseUrls(DefaultUrl);
        builder.WebHost.ConfigureKestrel(kestrel =>
        {
            kestrel.AddServerHeader = false;
            kestrel.Limits.MaxRequestBodySize = LargestBodyBytes;
        });
        return builder;
    }

    private static bool HasAddress(ConfigurationManager configuration) =>
        !string.IsNullOrEmpty(configuration["urls"]) || !string.IsNullOrEmpty(configuration["http_ports"])
        || !string.IsNullOrEmpty(configuration["https_ports"]) || configuration.GetSection("Kestrel:Endpoints").GetChildren().Any();
}
