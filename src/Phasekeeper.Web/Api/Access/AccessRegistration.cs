using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.DataProtection.KeyManagement;
using Microsoft.AspNetCore.DataProtection.Repositories;
using Microsoft.Extensions.Options;
using Phasekeeper.Storage;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Api.Access;

/// <summary>Who may ask: registrations of authentication and authorisation.</summary>
public static class AccessRegistration
{
    /// <summary>Every endpoint and page names what it asks for; what names nothing is refused.</summary>
    public static IServiceCollection AddPhasekeeperAccess(this IServiceCollection services)
    {
        services.AddSingleton<BearerTokens>();
        services.AddSingleton<PrintTokens>();
        services.AddSingleton(s => new DemoAccess(IsOffered: string.IsNullOrEmpty(s.GetRequiredService<IOptions<PhasekeeperOptions>>().Value.Profile)));
        services.AddAuthentication(AccessHandler.Scheme).AddScheme<AuthenticationSchemeOptions, AccessHandler>(AccessHandler.Scheme, null);
        Policies.Add(services.AddAuthorizationBuilder());
        // Keys of cookies and forms lie with the data: a restart signs nobody out, and a backup holds them.
        services.AddDataProtection();
        services.AddOptions<KeyManagementOptions>().Configure<Stores, ILoggerFactory>((keys, stores, logging) =>
        {
            var folder = stores.Database.Folder.Keys;
            // Whoever reads the keys can make a cookie for anybody.
            if (!OperatingSystem.IsWindows()) File.SetUnixFileMode(folder, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
            keys.XmlRepository = new FileSystemXmlRepository(new DirectoryInfo(folder), logging);
        });
        return services;
    }
}
