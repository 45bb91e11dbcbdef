using System.Globalization;
using System.Text.Json;
using System.Text.RegularExpressions;

namespace Phasekeeper.Core.Flags;

/// <summary>
/// Reads rules.json (schema phasekeeper-rules/1). Strict: unknown and repeated keys are mistakes; all mistakes are reported together, each
/// with its JSON path, what was found and what was expected.
/// </summary>
public sealed partial class RuleSetReader
{
    private readonly List<RuleSetError> _errors = [];

    private RuleSetReader() { }

    /// <summary>The set; throws <see cref="RuleSetException"/> with every mistake.</summary>
    /// <param name="text">Content of the file.</param>
    /// <param name="file">Its name, for messages.</param>
    public static RuleSet Read(string text, string file)
    {
        var reader = new RuleSetReader();
        RuleSet? set = null;
        try
        {
            using var document = JsonDocument.Parse(text, new JsonDocumentOptions { CommentHandling = JsonCommentHandling.Skip });
            set = reader.Set(document.RootElement);
        }
        catch (JsonException e)
        {
            reader.Add("$", string.Create(CultureInfo.InvariantCulture, $"not JSON at line {e.LineNumber + 1}, byte {e.BytePositionInLine + 1}: {e.Message}"));
        }
        return set is not null && reader._errors.Count == 0 ? set : throw new RuleSetException(file, reader._errors);
    }

    private RuleSet? Set(JsonElement root)
    {
        if (!Object(root, "$", ["schema", "name", "rules"])) return null;
        var schema = Text(root, "$", "schema", required: true);
        if (schema is not null && schema != RuleSet.Schema) Add("$.schema", $"found '{schema}'; expected '{RuleSet.Schema}'");
        var name = Text(root, "$", "name", required: false) ?? "rules";
        var rules = new List<RuleDeclaration>();
        if (!root.TryGetProperty("rules", out var list)) Add("$", "the key 'rules' is missing; expected a list of rules");
        else if (list.ValueKind != JsonValueKind.Array) Add("$.rules", $"found {Kind(list)}; expected a list of rules");
        else
        {
            var i = 0;
            foreach (var element in list.EnumerateArray())
            {
                var path = $"$.rules[{i++.ToString(CultureInfo.InvariantCulture)}]";
                if (Rule(element, path) is not { } rule) continue;
                if (rules.Any(r => r.Id == rule.Id)) Add(path + ".id", $"found '{rule.Id}' a second time; expected ids that differ");
                rules.Add(rule);
            }
        }
        return new RuleSet(name, rules);
    }

    private RuleDeclaration? Rule(JsonElement element, string path)
    {
        if (!Object(element, path, ["id", "kind", "version", "enabled", "trackers", "channels", "view", "line", "parameters"])) return null;
        var kindId = Text(element, path, "kind", required: true);
        var id = Text(element, path, "id", required: false) ?? kindId;
        if (id is not null && !KebabCase().IsMatch(id)) Add(path + ".id", $"found '{id}'; expected lower-case letters, digits and single hyphens");
        if (kindId is null) return null;
        if (RuleCatalog.Find(kindId) is not { } kind)
        {
            Add(path + ".kind", $"found '{kindId}'; expected one of {string.Join(", ", RuleCatalog.All.Select(k => k.Id))}");
            return null;
        }
        var trackers = Texts(element, path, "trackers", kind.Selector == RuleSelector.Trackers, kind);
        if (kind.Selector == RuleSelector.Trackers && (trackers ?? kind.DefaultTrackers).Count == 0)
            Add(path, $"the key 'trackers' is missing or empty; a rule of kind '{kind.Id}' must name the trackers that it watches");
        var byView = kind.Selector is RuleSelector.Trackers or RuleSelector.Views;
        var rule = new RuleDeclaration
        {
            Id = id!,
            Kind = kind.Id,
            Version = Version(element, path),
            Enabled = Switch(element, path, "enabled") ?? true,
            Trackers = trackers ?? kind.DefaultTrackers,
            Channels = Texts(element, path, "channels", kind.Selector is RuleSelector.Channels or RuleSelector.Trackers, kind) ?? [],
            View = Chosen(element, path, "view", byView, kind),
            Line = Chosen(element, path, "line", byView, kind),
            Parameters = Parameters(element, path, kind),
        };
        foreach (var mistake in kind.Check(rule)) Add(path + ".parameters", mistake);
        return rule;
    }

    private SortedDictionary<string, double> Parameters(JsonElement rule, string rulePath, RuleKind kind)
    {
        var values = new SortedDictionary<string, double>(StringComparer.Ordinal);
        foreach (var p in kind.Parameters) values[p.Name] = p.Default;
        if (!rule.TryGetProperty("parameters", out var element)) return values;
        var path = rulePath + ".parameters";
        if (!Object(element, path, [.. kind.Parameters.Select(p => p.Name)])) return values;
        foreach (var p in kind.Parameters)
            if (element.TryGetProperty(p.Name, out var value) && Parameter(value, $"{path}.{p.Name}", p) is { } number) values[p.Name] = number;
        return values;
    }

    private double? Parameter(JsonElement value, string path, RuleParameter p)
    {
        // null takes a default limit away.
        if (value.ValueKind == JsonValueKind.Null && p.Type == RuleParameterType.Number) return double.NaN;
        if (p.Type == RuleParameterType.Switch)
        {
            if (value.ValueKind is JsonValueKind.True or JsonValueKind.False) return value.GetBoolean() ? 1 : 0;
            Add(path, $"found {Kind(value)}; expected true or false");
            return null;
        }
        var unit = p.Unit is "1" ? "" : $" ({p.Unit})";
        var range = $"{FlagText.Number(p.Min)} to {FlagText.Number(p.Max)}{unit}";
        var noun = p.Type == RuleParameterType.Integer ? "a whole number" : "a number";
        if (value.ValueKind != JsonValueKind.Number || !value.TryGetDouble(out var number))
        {
            Add(path, $"found {Kind(value)}; expected {noun} from {range}");
            return null;
        }
        if (number < p.Min || number > p.Max || (p.Type == RuleParameterType.Integer && number != Math.Floor(number)))
        {
            Add(path, $"found {value.GetRawText()}; expected {noun} from {range}");
            return null;
        }
        return number;
    }

    private int Version(JsonElement rule, string path)
    {
        if (!rule.TryGetProperty("version", out var value)) return 1;
        if (value.ValueKind == JsonValueKind.Number && value.TryGetInt32(out var version) && version >= 1) return version;
        Add(path + ".version", $"found {Kind(value)}; expected a whole number from 1");
        return 1;
    }

    private string? Chosen(JsonElement rule, string path, string key, bool allowed, RuleKind kind)
    {
        var text = Text(rule, path, key, required: false);
        if (text is not null && !allowed) Add($"{path}.{key}", $"found '{text}'; a rule of kind '{kind.Id}' is not per {key}, leave the key out");
        return text;
    }

    private List<string>? Texts(JsonElement rule, string path, string key, bool allowed, RuleKind kind)
    {
        if (!rule.TryGetProperty(key, out var list)) return null;
        path = $"{path}.{key}";
        if (!allowed) { Add(path, $"a rule of kind '{kind.Id}' does not watch {key}; leave the key out"); return null; }
        if (list.ValueKind != JsonValueKind.Array) { Add(path, $"found {Kind(list)}; expected a list of texts"); return null; }
        var texts = new List<string>();
        var i = 0;
        foreach (var item in list.EnumerateArray())
        {
            if (item.ValueKind == JsonValueKind.String && item.GetString()!.Length > 0) texts.Add(item.GetString()!);
            else Add($"{path}[{i.ToString(CultureInfo.InvariantCulture)}]", $"found {Kind(item)}; expected a text that is not empty");
            i++;
        }
        return texts;
    }

    private bool? Switch(JsonElement parent, string path, string key)
    {
        if (!parent.TryGetProperty(key, out var value)) return null;
        if (value.ValueKind is JsonValueKind.True or JsonValueKind.False) return value.GetBoolean();
        Add($"{path}.{key}", $"found {Kind(value)}; expected true or false");
        return null;
    }

    private string? Text(JsonElement parent, string path, string key, bool required)
    {
        if (!parent.TryGetProperty(key, out var value))
        {
            if (required) Add(path, $"the key '{key}' is missing; expected a text");
            return null;
        }
        if (value.ValueKind == JsonValueKind.String && value.GetString()!.Length > 0) return value.GetString();
        Add($"{path}.{key}", $"found {Kind(value)}; expected a text that is not empty");
        return null;
    }

    private bool Object(JsonElement element, string path, IReadOnlyList<string> keys)
    {
        if (element.ValueKind != JsonValueKind.Object)
        {
            Add(path, $"found {Kind(element)}; expected an object");
            return false;
        }
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (var property in element.EnumerateObject())
        {
            if (!keys.Contains(property.Name)) Add($"{path}.{property.Name}", $"unknown key; expected one of {string.Join(", ", keys)}");
            else if (!seen.Add(property.Name)) Add($"{path}.{property.Name}", "the key is there twice; expected it once");
        }
        return true;
    }

    private static string Kind(JsonElement element) => element.ValueKind switch
    {
        JsonValueKind.String => element.GetString()!.Length == 0 ? "an empty text" : $"the text '{element.GetString()}'",
        JsonValueKind.Number => $"the number {element.GetRawText()}",
        JsonValueKind.True or JsonValueKind.False => element.GetRawText(),
        JsonValueKind.Null => "null",
        JsonValueKind.Array => "a list",
        _ => "an object",
    };

    private void Add(string path, string message) => _errors.Add(new(path, message));

    [GeneratedRegex("^[a-z0-9]+(-[a-z0-9]+)*$")]
    private static partial Regex KebabCase();
}
