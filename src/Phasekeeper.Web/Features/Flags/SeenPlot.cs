using System.Text;
using System.Text.Json;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>Plots as they were seen: what is taken in, and how it is shown again.</summary>
public static class SeenPlot
{
    private const int LongestTitle = 300;

    /// <summary>The body, when it is a plot of this server; its address without what a browser would resolve away.</summary>
    /// <exception cref="ApiProblemException">It is not; says what was expected.</exception>
    public static FlagPlotBody Check(FlagPlotBody body, EndpointDataSource routes, HttpContext http)
    {
        ArgumentNullException.ThrowIfNull(body);
        if (string.IsNullOrWhiteSpace(body.Title) || body.Title.Length > LongestTitle) throw Wrong("title", $"{body.Title?.Length ?? 0} characters", $"1 to {LongestTitle}");
        var url = PlotAddress.Find(body.Url, routes, http) ?? throw Wrong("url", body.Url is { Length: > 0 } given ? Shortened(given) : "nothing", $"path and query of a plot of this server, below {PlotAddress.Prefix}, of at most {PlotAddress.Longest} characters");
        var document = body.Document;
        if (document.ValueKind != JsonValueKind.Object || !Has(document, "title", JsonValueKind.String) || !Has(document, "summary", JsonValueKind.String) || !Has(document, "x", JsonValueKind.Object)
            || !Has(document, "y", JsonValueKind.Array) || !Has(document, "traces", JsonValueKind.Array))
            throw Wrong("document", document.ValueKind == JsonValueKind.Undefined ? "nothing" : $"JSON of another shape ({document.ValueKind})", "a plot's data as its address gives them: title, summary, x, y, traces");
        return body with { Url = url };
    }

    /// <summary>Adds the route of stored plots; zooming changes nothing, since what was seen is what there is.</summary>
    public static void MapSeenPlots(this IEndpointRouteBuilder plots) => plots.MapGet("/flags/{id}/seen/{plot:long}", (string id, long plot, Stores stores) =>
        TypedResults.Text(stores.FlagTalk.Document(id, plot) ?? throw ApiProblems.NotFound("plot of flag " + id, plot.ToString(System.Globalization.CultureInfo.InvariantCulture)), "application/json", Encoding.UTF8));

    private static string Shortened(string text) => text.Length > 80 ? text[..80] + "…" : text;

    private static bool Has(JsonElement document, string name, JsonValueKind kind) => document.TryGetProperty(name, out var value) && value.ValueKind == kind;

    private static ApiProblemException Wrong(string key, string found, string expected) => ApiProblems.BadRequest($"$.{key}: found {found}; expected {expected}.");
}
