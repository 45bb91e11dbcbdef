using System.IO.Pipelines;
using System.Reflection;
using System.Text.Json;
using System.Text.Json.Serialization.Metadata;
using Microsoft.AspNetCore.Http.Metadata;
using Microsoft.AspNetCore.WebUtilities;
using Microsoft.Net.Http.Headers;

namespace Phasekeeper.Web.Api.Lists;

/// <summary>A page of a list as JSON shows it.</summary>
/// <param name="Items">The rows.</param>
/// <param name="Next">Pass it as 'next' for the rows behind these; null at the end.</param>
public sealed record ListDocument<T>(IReadOnlyList<T> Items, string? Next);

/// <summary>
/// A page of a list, written as JSON ({ items, next }) or, where the request asks for it, as CSV with a header line and a
/// Link header. Both are streamed: the answer is never held as one text.
/// </summary>
public sealed class ListResult<T>(IReadOnlyList<T> items, string? next) : IResult, IEndpointMetadataProvider
{
    private const int FlushBytes = 64 * 1024;

    /// <summary>The rows.</summary>
    public IReadOnlyList<T> Items { get; } = items;

    /// <summary>Continuation; null at the end.</summary>
    public string? Next { get; } = next;

    /// <inheritdoc/>
    static void IEndpointMetadataProvider.PopulateMetadata(MethodInfo method, EndpointBuilder builder)
    {
        builder.Metadata.Add(new ProducesResponseTypeMetadata(StatusCodes.Status200OK, typeof(ListDocument<T>), ["application/json", "text/csv"]));
        builder.Metadata.Add(new ProducesResponseTypeMetadata(StatusCodes.Status400BadRequest, typeof(Microsoft.AspNetCore.Mvc.ProblemDetails), ["application/problem+json"]));
    }

    /// <inheritdoc/>
    public Task ExecuteAsync(HttpContext httpContext)
    {
        httpContext.Response.Headers.Vary = HeaderNames.Accept;
        if (Next is not null) httpContext.Response.Headers.Link = $"<{NextAddress(httpContext.Request, Next)}>; rel=\"next\"";
        return CsvChoice.IsAskedFor(httpContext.Request) ? WriteCsvAsync(httpContext) : WriteJsonAsync(httpContext);
    }

    private async Task WriteJsonAsync(HttpContext http)
    {
        http.Response.ContentType = "application/json; charset=utf-8";
        var row = (JsonTypeInfo<T>)ApiJson.Options.GetTypeInfo(typeof(T));
        var output = http.Response.BodyWriter;
        await using var json = new Utf8JsonWriter(output);
        json.WriteStartObject();
        json.WriteStartArray("items");
        foreach (var item in Items)
        {
            JsonSerializer.Serialize(json, item, row);
            if (json.BytesPending > FlushBytes) await FlushAsync(json, output, http.RequestAborted);
        }
        json.WriteEndArray();
        json.WriteString("next", Next);
        json.WriteEndObject();
        await FlushAsync(json, output, http.RequestAborted);
    }

    private async Task WriteCsvAsync(HttpContext http)
    {
        http.Response.ContentType = "text/csv; charset=utf-8; header=present";
        if (http.Request.Query.ContainsKey("format"))
            http.Response.Headers.ContentDisposition = $"attachment; filename=\"{FileName(http.Request.Path)}\"";
        var output = http.Response.BodyWriter;
        var csv = new CsvWriter<T>(output);
        csv.WriteHeader();
        foreach (var item in Items)
        {
            csv.WriteRow(item);
            if (csv.BytesPending <= FlushBytes) continue;
            await output.FlushAsync(http.RequestAborted);
            csv.BytesPending = 0;
        }
        await output.FlushAsync(http.RequestAborted);
    }

    private static async Task FlushAsync(Utf8JsonWriter json, PipeWriter output, CancellationToken cancel)
    {
        await json.FlushAsync(cancel);
        await output.FlushAsync(cancel);
    }

    private static string FileName(PathString path) =>
        string.Join('-', path.Value!.Split('/', StringSplitOptions.RemoveEmptyEntries).Skip(2).Select(part => string.Concat(part.Where(c => char.IsAsciiLetterOrDigit(c) || c is '-' or '_')))) + ".csv";

    private static string NextAddress(HttpRequest request, string next)
    {
        var query = QueryHelpers.ParseQuery(request.QueryString.Value);
        query["next"] = next;
        return QueryHelpers.AddQueryString(request.PathBase.Add(request.Path), query);
    }
}
