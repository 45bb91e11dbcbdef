using System.Net;
using System.Net.Sockets;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>Which addresses webhooks may reach: public ones by TLS, and networks that the administrator names.</summary>
public static class WebhookNetworks
{
    // IANA's registries of special-purpose addresses (RFC 6890 and successors): none of them is a public receiver.
    private static readonly IPNetwork[] Special =
    [
        .. new[] { "0.0.0.0/8", "10.0.0.0/8", "100.64.0.0/10", "127.0.0.0/8", "169.254.0.0/16", "172.16.0.0/12", "192.0.0.0/24", "192.0.2.0/24", "192.88.99.0/24", "192.168.0.0/16", "198.18.0.0/15", "198.51.100.0/24", "203.0.113.0/24", "224.0.0.0/4", "240.0.0.0/4", "2001::/23", "2001:db8::/32", "2002::/16", "3fff::/20" }
            .Select(text => IPNetwork.Parse(text)),
    ];

    private static readonly IPNetwork GlobalUnicast = IPNetwork.Parse("2000::/3");

    /// <summary>The networks of the setting.</summary>
    /// <exception cref="NoticeSendException">One of them is none.</exception>
    public static IReadOnlyList<IPNetwork> Read(string? text) => [.. (text ?? "").Split(' ', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries).Select(part =>
        IPNetwork.TryParse(part, out var network) ? network : throw new NoticeSendException($"Found '{part}' in Phasekeeper:Notices:WebhookNetworks; expected networks such as 10.1.0.0/16, separated by spaces."))];

    /// <summary>Whether an address may be connected to.</summary>
    /// <param name="networks">Networks that the administrator names.</param>
    /// <param name="address">The address.</param>
    /// <param name="isPlain">Whether the request goes without TLS: then it must lie in one of the networks.</param>
    public static bool Allows(IReadOnlyList<IPNetwork> networks, IPAddress address, bool isPlain)
    {
        ArgumentNullException.ThrowIfNull(address);
        var plain = address.IsIPv4MappedToIPv6 ? address.MapToIPv4() : address;
        if (networks.Any(n => n.Contains(plain))) return true;
        if (isPlain) return false;
        return !Special.Any(n => n.Contains(plain)) && (plain.AddressFamily == AddressFamily.InterNetwork || GlobalUnicast.Contains(plain));
    }
}
