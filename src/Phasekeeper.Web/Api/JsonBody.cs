using System.Text.Json;
using System.Text.Json.Serialization;

namespace Phasekeeper.Web.Api;

/// <summary>Reads small JSON bodies of requests, strictly: unknown members are mistakes.</summary>
public static class JsonBody
{
    // Chosen: a page of text in any script, escaped, with room to spare.
    private const int MostBytes = 64 * 1024;
    private static readonly JsonSerializerOptions Strict = new(ApiJson.Options) { UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow };

    /// <summary>The body.</summary>
    /// <param name="http">The request.</param>
    /// <param name="example">What a right one looks like, for the refusal.</param>
    /// <exception cref="ApiProblemException">It is no such JSON (400), with what was found and expected.</exception>
    public static async Task<T> ReadAsync<T>(HttpContext http, string example)
        where T : class
    {
        ArgumentNullException.ThrowIfNull(http);
        using var bytes = new MemoryStream();
        var buffer = new byte[8192];
        for (int n; (n = await http.Request.Body.ReadAsync(buffer, http.RequestAborted)) > 0;)
        {
            bytes.Write(buffer, 0, n);
            if (bytes.Length > MostBytes) throw ApiProblems.BadRequest($"The body has more than {MostBytes / 1024} KiB; expected JSON such as {example}.");
        }
        try
        {
            return JsonSerializer.Deserialize<T>(bytes.GetBuffer().AsSpan(0, (int)bytes.Length), Strict) ?? throw ApiProblems.BadRequest($"The body is null; expected JSON such as {example}.");
        }
        catch (JsonException e)
        {
            throw ApiProblems.BadRequest($"The body cannot be read ({e.Message}); expected JSON such as {example}.");
        }
    }
}
