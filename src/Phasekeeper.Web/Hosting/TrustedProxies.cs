using System.Net;
using Microsoft.AspNetCore.HttpOverrides;
using IPNetwork = System.Net.IPNetwork;

namespace Phasekeeper.Web.Hosting;

/// <summary>
/// Proxies whose word about a request counts: from which address it came, whether encrypted, under which name. None unless <c>Phasekeeper:Proxies</c> names them, this machine included: otherwise
/// anybody who reaches the port could claim any address.
/// </summary>
public static class TrustedProxies
{
    /// <summary>Name of the setting.</summary>
    public const string Setting = PhasekeeperOptions.Section + ":Proxies";

    private const string HostsSetting = "AllowedHosts";
    private static readonly char[] Separators = [' ', ',', ';'];

    /// <summary>Reads forwarded headers of the named proxies; does nothing where there are none. Belongs before everything that looks at a request.</summary>
    public static IApplicationBuilder UseTrustedProxies(this IApplicationBuilder app, IConfiguration configuration)
    {
        ArgumentNullException.ThrowIfNull(configuration);
        return Options(configuration[Setting], configuration[HostsSetting]) is { } options ? app.UseForwardedHeaders(options) : app;
    }

    /// <summary>What is read of whom; null where no proxy is named.</summary>
    /// <param name="proxies">Addresses and networks (CIDR), separated by spaces, commas or semicolons.</param>
    /// <param name="hosts">The setting AllowedHosts: the names under which we may be asked for, separated by semicolons, or a star for all.</param>
    /// <exception cref="InvalidOperationException">An entry is neither an address nor a network; the message says which.</exception>
    public static ForwardedHeadersOptions? Options(string? proxies, string? hosts)
    {
        if (string.IsNullOrWhiteSpace(proxies)) return null;
        // Without a limit the list of addresses is read from its end up to the first one that is no proxy of ours, so what a caller wrote before it counts for nothing.
        var options = new ForwardedHeadersOptions { ForwardedHeaders = ForwardedHeaders.XForwardedFor | ForwardedHeaders.XForwardedProto, ForwardLimit = null };
        options.KnownProxies.Clear();
        options.KnownIPNetworks.Clear();
        foreach (var entry in proxies.Split(Separators, StringSplitOptions.RemoveEmptyEntries))
        {
            if (IPAddress.TryParse(entry, out var address)) options.KnownProxies.Add(address);
            else if (IPNetwork.TryParse(entry, out var network)) options.KnownIPNetworks.Add(network);
            else
                throw new InvalidOperationException(
                    $"{Setting} says '{entry}', which is neither an address nor a network: expected for example '127.0.0.1', '2001:db8::7' or '10.1.0.0/16' (its bits behind the length zero), several separated by spaces.");
        }
        // Many proxies pass a caller's X-Forwarded-Host on as it came. It is believed only where the names are listed that may stand in it.
        string[] names = [.. (hosts ?? "").Split(';', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries)];
        if (names.Length == 0 || names.Contains("*")) return options;
        options.ForwardedHeaders |= ForwardedHeaders.XForwardedHost;
        options.AllowedHosts = names;
        return options;
    }
}
