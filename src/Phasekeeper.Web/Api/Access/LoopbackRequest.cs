using System.Net;

namespace Phasekeeper.Web.Api.Access;

/// <summary>Tells whether a request comes from this machine, and not through a proxy or from a foreign web page.</summary>
public static class LoopbackRequest
{
    // A proxy on this machine connects from loopback for everyone: its marks rule local access out, also where forwarded headers were applied and renamed.
    private static readonly string[] ProxyHeaders =
        ["Forwarded", "X-Forwarded-For", "X-Forwarded-Host", "X-Forwarded-Proto", "X-Original-For", "X-Original-Host", "X-Original-Proto", "X-Real-IP", "Via"];

    /// <summary>Null when the request may count as local; otherwise the reason it may not.</summary>
    public static string? WhyNotLocal(HttpRequest request)
    {
        if (!IsLoopbackConnection(request)) return ApiTexts.DemoOnlyFromLoopback;
        if (!IsLoopbackHost(request.Host.Host)) return ApiTexts.HostIsNotLoopback(request.Host.Host);
        return WhyForeign(request);
    }

    /// <summary>
    /// Null unless a page of another site sent the request with what this browser holds: a link followed from elsewhere may open a page, never change a thing. Another port of the same machine is another site too:
    /// cookies do not tell ports apart.
    /// </summary>
    public static string? WhyForeign(HttpRequest request)
    {
        // Browsers set this themselves and pages cannot change it.
        var site = request.Headers["Sec-Fetch-Site"].ToString();
        // They leave it out on lines without TLS other than loopback; the origin they send there too, with all that changes something and with web sockets.
        if (site.Length == 0) return request.Headers.Origin.ToString() is { Length: > 0 } origin && !IsOurs(origin, request.Host) ? ApiTexts.ForeignPage : null;
        var foreign = site is "cross-site" or "same-site";
        return foreign && !(HttpMethods.IsGet(request.Method) && request.Headers["Sec-Fetch-Mode"] == "navigate") ? ApiTexts.ForeignPage : null;
    }

    /// <summary>True when the connection is from loopback and no proxy has marked it.</summary>
    public static bool IsLoopbackConnection(HttpRequest request) =>
        request.HttpContext.Connection.RemoteIpAddress is { } address && IPAddress.IsLoopback(address)
        && !ProxyHeaders.Any(request.Headers.ContainsKey);

    private static bool IsOurs(string origin, HostString host) => Uri.TryCreate(origin, UriKind.Absolute, out var from)
        && string.Equals(from.Host.Trim('[', ']'), host.Host.Trim('[', ']'), StringComparison.OrdinalIgnoreCase) && (host.Port is { } port ? port == from.Port : from.IsDefaultPort);

    private static bool IsLoopbackHost(string host) =>
        host.Equals("localhost", StringComparison.OrdinalIgnoreCase) || (IPAddress.TryParse(host, out var address) && IPAddress.IsLoopback(address));
}
