using System.Globalization;
using System.Text.Json;

namespace Phasekeeper.Web.Features.Record;

/// <summary>One value of what was before and after.</summary>
/// <param name="Path">Where it stands, e.g. rules[3].limit.</param>
/// <param name="Before">Before; null where it was not there.</param>
/// <param name="After">After; null where it is no longer there.</param>
public sealed record RecordDifference(string Path, string? Before, string? After)
{
    /// <summary>added | removed | changed | same.</summary>
    public string Kind => Before is null ? "added" : After is null ? "removed" : Before == After ? "same" : "changed";
}

/// <summary>Lays what was before beside what is after, value by value.</summary>
public static class RecordDifferences
{
    /// <summary>The values of two JSON texts (null = nothing was, or is, there), in the order in which they stand.</summary>
    public static IReadOnlyList<RecordDifference> Of(string? before, string? after)
    {
        var (was, now) = (Values(before), Values(after));
        var paths = now.Select(v => v.Path).Concat(was.Select(v => v.Path)).Distinct();
        var (old, fresh) = (was.ToDictionary(v => v.Path, v => v.Value), now.ToDictionary(v => v.Path, v => v.Value));
        return [.. paths.Select(p => new RecordDifference(p, old.GetValueOrDefault(p), fresh.GetValueOrDefault(p)))];
    }

    private static List<(string Path, string Value)> Values(string? json)
    {
        var values = new List<(string, string)>();
        if (json is null) return values;
        try
        {
            using var document = JsonDocument.Parse(json);
            Add(values, "", document.RootElement);
        }
        catch (JsonException)
        {
            // Whoever tampered need not have written JSON: it is shown as it stands.
            values.Clear();
            values.Add(("", json));
        }
        // Names may come twice in JSON: the last one counts, as for readers.
        return [.. values.GroupBy(v => v.Item1).Select(g => g.Last())];
    }

    private static void Add(List<(string, string)> values, string path, JsonElement element)
    {
        switch (element.ValueKind)
        {
            case JsonValueKind.Object when element.EnumerateObject().Any():
                foreach (var property in element.EnumerateObject()) Add(values, path.Length == 0 ? property.Name : $"{path}.{property.Name}", property.Value);
                break;
            case JsonValueKind.Array when element.GetArrayLength() > 0:
                var index = 0;
                foreach (var item in element.EnumerateArray()) Add(values, string.Create(CultureInfo.InvariantCulture, $"{path}[{index++}]"), item);
                break;
            default:
                values.Add((path, element.ValueKind == JsonValueKind.String ? element.GetString()! : element.ValueKind == JsonValueKind.Null ? "–" : element.GetRawText()));
                break;
        }
    }
}
