using System.Reflection;
using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Routing.Template;
using Phasekeeper.Web.Features.SignIn;

namespace Phasekeeper.Web.Features.SharedViews;

/// <summary>Addresses of this program's own pages: what may be saved for others to follow.</summary>
public static class PageAddress
{
    /// <summary>Longest address, characters (chosen: a page with a dozen series has some 600).</summary>
    public const int Longest = 2000;

    // They are about whoever looks, or about nothing.
    private static readonly string[] Personal = ["/sign-in", "/no-access", "/account", "/account/notices", "/not-found"];
    private static readonly Uri Anywhere = new("http://phasekeeper.invalid/");

    private static readonly Lazy<TemplateMatcher[]> Pages = new(() => [.. typeof(PageAddress).Assembly.GetTypes().SelectMany(t => t.GetCustomAttributes<RouteAttribute>())
        .Where(r => !Personal.Contains(r.Template)).Select(r => new TemplateMatcher(TemplateParser.Parse(r.Template), new RouteValueDictionary()))]);

    /// <summary>The address as it is kept: path and query of a page of this program. A fragment is left out.</summary>
    /// <exception cref="RequestRefusedException">It leads elsewhere, or to no page.</exception>
    public static string Check(string? address)
    {
        var found = (address ?? "").Trim();
        if (found.Length is 0 or > Longest || !ReturnAddress.IsLocal(found)) throw Refused(found);
        // Dots and escapes are resolved as a browser does, so that what is checked is what is opened.
        if (!Uri.TryCreate(Anywhere, found, out var whole) || whole.Host != Anywhere.Host || whole.Scheme != Anywhere.Scheme || whole.Port != Anywhere.Port) throw Refused(found);
        var path = PathString.FromUriComponent(whole);
        return Pages.Value.Any(page => page.TryMatch(path, new RouteValueDictionary())) ? whole.PathAndQuery : throw Refused(found);
    }

    private static RequestRefusedException Refused(string found) =>
        new($"Found the address '{(found.Length > 80 ? found[..80] + "…" : found)}'; expected path and query of a page of this program that others can open, such as /drift?range=7d, of at most {Longest} characters.");
}
