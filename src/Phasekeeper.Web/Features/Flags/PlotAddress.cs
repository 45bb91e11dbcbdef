using Microsoft.AspNetCore.Routing.Template;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Features.SignIn;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>Addresses of this program's own plots, told from all others by the program's table of routes. Nothing is ever fetched from such an address here: it says where a kept plot came from.</summary>
public static class PlotAddress
{
    /// <summary>Where all plots lie.</summary>
    public const string Prefix = ApiRoutes.Prefix + "/plots/";

    /// <summary>Longest address, characters (chosen: a plot of a dozen series has some 600).</summary>
    public const int Longest = 2000;

    private static readonly Uri Anywhere = new("http://phasekeeper.invalid/");

    /// <summary>Path and query as they are kept; null where the address leads to no plot of this program. A fragment is left out.</summary>
    /// <param name="address">What was sent.</param>
    /// <param name="routes">The program's routes.</param>
    /// <param name="http">The request, for the constraints of routes.</param>
    public static string? Find(string? address, EndpointDataSource routes, HttpContext http)
    {
        ArgumentNullException.ThrowIfNull(routes);
        ArgumentNullException.ThrowIfNull(http);
        if (address is not { Length: > 0 and <= Longest } || !ReturnAddress.IsLocal(address) || IsBent(address)) return null;
        if (!Uri.TryCreate(Anywhere, address, out var whole) || Uri.Compare(whole, Anywhere, UriComponents.SchemeAndServer | UriComponents.UserInfo, UriFormat.UriEscaped, StringComparison.Ordinal) != 0) return null;
        var path = PathString.FromUriComponent(whole);
        return routes.Endpoints.OfType<RouteEndpoint>().Any(route => Leads(route, path, http)) ? whole.PathAndQuery : null;
    }

    // A part of the path that names a place above it, or holds a slash of either kind once it is read: no address of a plot has one.
    private static bool IsBent(string address) => address.Split('?', '#')[0].Split('/').Select(Uri.UnescapeDataString).Any(part => part is "." or ".." || part.AsSpan().IndexOfAny("/\\") >= 0);

    private static bool Leads(RouteEndpoint route, PathString path, HttpContext http)
    {
        var pattern = route.RoutePattern;
        if (pattern.RawText?.TrimStart('/').StartsWith(Prefix.TrimStart('/'), StringComparison.Ordinal) != true) return false;
        var values = new RouteValueDictionary();
        if (!new TemplateMatcher(new RouteTemplate(pattern), new RouteValueDictionary(pattern.Defaults)).TryMatch(path, values)) return false;
        var policies = http.RequestServices.GetRequiredService<ParameterPolicyFactory>();
        return pattern.ParameterPolicies.All(named => named.Value.All(policy =>
            policies.Create(pattern.GetParameter(named.Key), policy) is not IRouteConstraint constraint || constraint.Match(http, null, named.Key, values, RouteDirection.IncomingRequest)));
    }
}
