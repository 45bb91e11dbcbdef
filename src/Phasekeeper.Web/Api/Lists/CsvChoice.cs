using Microsoft.Net.Http.Headers;

namespace Phasekeeper.Web.Api.Lists;

/// <summary>Whether a request wants CSV: ?format=csv, or an Accept header that puts text/csv before JSON.</summary>
public static class CsvChoice
{
    private static readonly MediaTypeHeaderValue Csv = new("text/csv");
    private static readonly MediaTypeHeaderValue Json = new("application/json");

    /// <summary>True for CSV. Without a preference JSON is written.</summary>
    public static bool IsAskedFor(HttpRequest request)
    {
        if (request.Query.TryGetValue("format", out var format) && format.Count > 0) return format[0] == "csv";
        if (!MediaTypeHeaderValue.TryParseList(request.Headers.Accept, out var accepted)) return false;
        var csv = QualityOf(Csv, accepted);
        var json = QualityOf(Json, accepted);
        return csv > json || (csv > 0 && csv == json && NamesCsvFirst(accepted));
    }

    private static double QualityOf(MediaTypeHeaderValue type, IList<MediaTypeHeaderValue> accepted) =>
        accepted.Where(range => type.IsSubsetOf(range)).Select(range => range.Quality ?? 1).DefaultIfEmpty(0).Max();

    private static bool NamesCsvFirst(IList<MediaTypeHeaderValue> accepted) =>
        accepted.FirstOrDefault(range => Csv.IsSubsetOf(range) || Json.IsSubsetOf(range)) is { MatchesAllTypes: false } first && Csv.IsSubsetOf(first);
}
