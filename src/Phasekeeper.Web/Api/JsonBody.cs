using System.Text.Json;
using System.Text.Json.Serialization;

namespace Phasekeeper.Web.Api;

/// <summary>Bodies of requests that are short JSON objects.</summary>
internal static class JsonBody
{
    // Chosen: the longest text that is kept, with escapes, fits many times.
    private const int MostBytes = 256 * 1024;
    private static readonly JsonSerializerOptions Options = new(ApiJson.Options) { UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow };

    /// <summary>Reads a body.</summary>
    /// <param name="http">The request.</param>
    /// <param name="example">What a body looks like, told where it cannot be read.</param>
    /// <exception cref="ApiProblemException">400: it is empty, too long or no such JSON.</exception>
    public static async Task<T> ReadAsync<T>(HttpContext http, string example)
        where T : class
    {
        using var bytes = new MemoryStream();
        var buffer = new byte[16 * 1024];
        for (int n; (n = await http.Request.Body.ReadAsync(buffer, http.RequestAborted)) > 0;)
        {
            bytes.Write(buffer, 0, n);
            if (bytes.Length > MostBytes) throw ApiProblems.BadRequest($"The body has more than {MostBytes / 1024} KiB; expected JSON such as {example}.");
        }
        var text = System.Text.Encoding.UTF8.GetString(bytes.GetBuffer(), 0, (int)bytes.Length).TrimStart('\uFEFF');
        if (string.IsNullOrWhiteSpace(text)) throw ApiProblems.BadRequest($"The body is empty; expected JSON such as {example}.");
        try
        {
            return JsonSerializer.Deserialize<T>(text, Options) ?? throw ApiProblems.BadRequest($"The body is null; expected JSON such as {example}.");
        }
        catch (JsonException e)
        {
            throw ApiProblems.BadRequest($"The body cannot be read ({e.Message}); expected JSON such as {example}.");
        }
    }
}
