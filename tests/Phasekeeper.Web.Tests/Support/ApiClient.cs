using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.AspNetCore.Mvc;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>Reads lists of the API as a script would.</summary>
public sealed class ApiClient(HttpClient client)
{
    /// <summary>The client.</summary>
    public HttpClient Client { get; } = client;

    /// <summary>Address of a call.</summary>
    public static Uri Address(string call) => new("/api/v1/" + call, UriKind.Relative);

    /// <summary>The items of a list that must fit one answer.</summary>
    public async Task<IReadOnlyList<JsonElement>> Json(string call)
    {
        var (items, next) = await Page(call);
        Assert.Null(next);
        return items;
    }

    /// <summary>One answer of a list, and where it goes on.</summary>
    public async Task<(IReadOnlyList<JsonElement> Items, string? Next)> Page(string call)
    {
        var document = await Client.GetFromJsonAsync<JsonElement>(Address(call));
        return ([.. document.GetProperty("items").EnumerateArray()], document.GetProperty("next").GetString());
    }

    /// <summary>All items of a list, a page of <paramref name="limit"/> at a time.</summary>
    public async Task<IReadOnlyList<JsonElement>> Paged(string call, int limit)
    {
        var all = new List<JsonElement>();
        string? next = null;
        do
        {
            (var items, next) = await Page($"{call}{(call.Contains('?', StringComparison.Ordinal) ? '&' : '?')}limit={limit}{(next is null ? "" : "&next=" + Uri.EscapeDataString(next))}");
            Assert.True(items.Count == limit || next is null, $"A page of {items.Count} rows in the middle of the list.");
            all.AddRange(items);
        }
        while (next is not null);
        return all;
    }

    /// <summary>Header and rows of a list as CSV.</summary>
    public async Task<(string[] Columns, IReadOnlyList<string[]> Rows)> Csv(string call)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, Address(call));
        request.Headers.Accept.ParseAdd("text/csv");
        using var answer = await Client.SendAsync(request);
        Assert.Equal("text/csv", answer.Content.Headers.ContentType!.MediaType);
        var lines = Records(await answer.Content.ReadAsStringAsync());
        return (lines[0], lines[1..]);
    }

    /// <summary>A list has exactly these columns, in JSON and CSV, and both say the same.</summary>
    public async Task Holds(string call, string columns)
    {
        var items = await Json(call);
        var (header, rows) = await Csv(call);
        Assert.Equal(columns, string.Join(',', header));
        Assert.NotEmpty(items);
        Assert.Equal(items.Count, rows.Count);
        for (var i = 0; i < items.Count; i++)
        {
            Assert.Equal(columns, string.Join(',', items[i].EnumerateObject().Select(p => p.Name)));
            Assert.Equal(items[i].EnumerateObject().Select(p => Text(p.Value)), rows[i]);
        }
    }

    /// <summary>A refusal: its status and what it says.</summary>
    public async Task<string> Refused(string call, HttpStatusCode status, HttpMethod? method = null, HttpContent? body = null)
    {
        using var request = new HttpRequestMessage(method ?? HttpMethod.Get, Address(call)) { Content = body };
        using var answer = await Client.SendAsync(request);
        Assert.Equal(status, answer.StatusCode);
        Assert.Equal("application/problem+json", answer.Content.Headers.ContentType!.MediaType);
        return (await answer.Content.ReadFromJsonAsync<ProblemDetails>())!.Detail!;
    }

    private static string Text(JsonElement value) => value.ValueKind switch
    {
        JsonValueKind.Null => "",
        JsonValueKind.String => value.GetString()!,
        // CSV writes numbers as .NET does: compare them as numbers.
        JsonValueKind.Number => value.GetDouble().ToString("R", System.Globalization.CultureInfo.InvariantCulture),
        // Lists of words are joined in CSV.
        JsonValueKind.Array => string.Join(';', value.EnumerateArray().Select(Text)),
        _ => value.GetRawText(),
    };

    // RFC 4180: quoted fields may hold commas, quotes and line ends.
    private static List<string[]> Records(string text)
    {
        var records = new List<string[]>();
        var fields = new List<string>();
        var field = new System.Text.StringBuilder();
        var quoted = false;
        for (var i = 0; i < text.Length; i++)
        {
            var c = text[i];
            if (quoted && c == '"' && i + 1 < text.Length && text[i + 1] == '"')
            {
                field.Append('"');
                i++;
            }
            else if (c == '"') quoted = !quoted;
            else if (!quoted && c is ',' or '\n')
            {
                fields.Add(field.ToString());
                field.Clear();
                if (c == ',') continue;
                records.Add([.. fields]);
                fields.Clear();
            }
            else field.Append(c);
        }
        return records;
    }
}
