using System.Globalization;
using System.Text.Json;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Input;

/// <summary>
/// Reads the keys of one JSON object. Each call names the key, its type and its range; a mistake is added to the shared list and a
/// harmless value is returned, so that reading goes on and finds the rest. Call <see cref="End"/> last: it reports unknown keys.
/// </summary>
public sealed class JsonObjectReader
{
    private readonly Dictionary<string, JsonElement> values = [];
    private readonly List<string> known = [];
    private readonly List<InputError> errors;

    internal JsonObjectReader(JsonElement element, string path, string file, List<InputError> errors)
    {
        Path = path;
        File = file;
        this.errors = errors;
        foreach (var property in element.EnumerateObject())
            if (!values.TryAdd(property.Name, property.Value))
                Error(property.Name, "the key a second time", "each key once");
    }

    /// <summary>JSON path of this object.</summary>
    public string Path { get; }

    /// <summary>File that is read.</summary>
    public string File { get; }

    /// <summary>Mistakes found so far in the whole file: a reader can tell whether what it depends on was right.</summary>
    public int ErrorCount => errors.Count;

    /// <summary>True when the key is present and not null.</summary>
    public bool Has(string key) => values.TryGetValue(key, out var v) && v.ValueKind != JsonValueKind.Null;

    /// <summary>Adds a mistake at a key of this object.</summary>
    public void Error(string key, string found, string expected) => errors.Add(new(File, key.Length == 0 ? Path : $"{Path}.{key}", found, expected));

    /// <summary>A non-empty text; null when absent and not required.</summary>
    public string? Text(string key, bool required = true)
    {
        if (!Take(key, required, "a text", out var v)) return null;
        if (v.ValueKind == JsonValueKind.String && !string.IsNullOrWhiteSpace(v.GetString())) return v.GetString();
        Error(key, JsonInput.Describe(v), "a text that is not empty");
        return null;
    }

    /// <summary>A name of a file inside the folder: no path, no separators.</summary>
    public string? FileName(string key, bool required = true)
    {
        var name = Text(key, required);
        if (name is null) return null;
        if (name.IndexOfAny(['/', '\\', '\0']) < 0 && name is not ("." or "..")) return name;
        Error(key, $"\"{JsonInput.Shorten(name)}\"", "the name of a file in the same folder, without a path");
        return null;
    }

    /// <summary>One of the given words; the default when absent.</summary>
    public string Word(string key, string? defaultWord, params string[] words)
    {
        var expected = string.Join(" or ", words.Select(w => $"\"{w}\""));
        if (!Take(key, defaultWord is null, expected, out var v)) return defaultWord ?? words[0];
        if (v.ValueKind == JsonValueKind.String && words.Contains(v.GetString())) return v.GetString()!;
        Error(key, JsonInput.Describe(v), expected);
        return defaultWord ?? words[0];
    }

    /// <summary>A finite number within a range (inclusive); the default when absent, required when the default is NaN.</summary>
    public double Number(string key, double min, double max, double defaultValue = double.NaN)
    {
        var expected = string.Create(CultureInfo.InvariantCulture, $"a number from {min:R} to {max:R}");
        if (!Take(key, double.IsNaN(defaultValue), expected, out var v)) return double.IsNaN(defaultValue) ? min : defaultValue;
        if (v.ValueKind == JsonValueKind.Number && v.TryGetDouble(out var d) && double.IsFinite(d) && d >= min && d <= max) return d;
        Error(key, JsonInput.Describe(v), expected);
        return double.IsNaN(defaultValue) ? min : defaultValue;
    }

    /// <summary>A whole number within a range (inclusive); the default when absent, required when the default is null.</summary>
    public int Whole(string key, int min, int max, int? defaultValue = null)
    {
        var expected = $"a whole number from {min} to {max}";
        if (!Take(key, defaultValue is null, expected, out var v)) return defaultValue ?? min;
        if (v.ValueKind == JsonValueKind.Number && v.TryGetDouble(out var d) && d == Math.Floor(d) && d >= min && d <= max) return (int)d;
        Error(key, JsonInput.Describe(v), expected);
        return defaultValue ?? min;
    }

    /// <summary>true or false; the default when absent.</summary>
    public bool Truth(string key, bool defaultValue)
    {
        if (!Take(key, false, "", out var v)) return defaultValue;
        if (v.ValueKind is JsonValueKind.True or JsonValueKind.False) return v.GetBoolean();
        Error(key, JsonInput.Describe(v), "true or false");
        return defaultValue;
    }

    /// <summary>A moment in ISO 8601 UTC; null when absent and not required, or wrong.</summary>
    public Instant? Time(string key, bool required = true)
    {
        const string expected = "a time in ISO 8601 UTC such as 2031-03-01T00:00:00Z";
        if (!Take(key, required, expected, out var v)) return null;
        if (v.ValueKind == JsonValueKind.String && Instant.TryParseUtc(v.GetString(), out var instant)) return instant;
        Error(key, JsonInput.Describe(v), expected);
        return null;
    }

    /// <summary>A list of finite numbers within a range; empty when absent and not required. <paramref name="length"/> −1 = any.</summary>
    public double[] Numbers(string key, double min, double max, int length = -1, bool required = true)
    {
        var range = string.Create(CultureInfo.InvariantCulture, $"numbers from {min:R} to {max:R}");
        var expected = length < 0 ? "a list of " + range : $"a list of {length} {range}";
        if (!Take(key, required, expected, out var v)) return [];
        return ReadNumbers(v, key, min, max, length, expected);
    }

    /// <summary>A list of lists of finite numbers (rows may differ in length); empty when wrong.</summary>
    public double[][] NumberRows(string key, double min, double max)
    {
        const string expected = "a list of lists of numbers";
        if (!Take(key, true, expected, out var v)) return [];
        if (v.ValueKind != JsonValueKind.Array) { Error(key, JsonInput.Describe(v), expected); return []; }
        return v.EnumerateArray().Select((row, i) => ReadNumbers(row, $"{key}[{i}]", min, max, -1,
            string.Create(CultureInfo.InvariantCulture, $"a list of numbers from {min:R} to {max:R}"))).ToArray();
    }

    /// <summary>An object; null when absent and not required, or wrong.</summary>
    public JsonObjectReader? Object(string key, bool required = true)
    {
        if (!Take(key, required, "an object", out var v)) return null;
        if (v.ValueKind == JsonValueKind.Object) return new(v, $"{Path}.{key}", File, errors);
        Error(key, JsonInput.Describe(v), "an object");
        return null;
    }

    /// <summary>A list of objects; empty when absent and not required, or wrong.</summary>
    public IReadOnlyList<JsonObjectReader> Objects(string key, bool required = true, int atLeast = 0)
    {
        var expected = atLeast > 0 ? $"a list of at least {atLeast} object(s)" : "a list of objects";
        if (!Take(key, required, expected, out var v)) return [];
        if (v.ValueKind != JsonValueKind.Array || v.GetArrayLength() < atLeast) { Error(key, JsonInput.Describe(v), expected); return []; }
        var readers = new List<JsonObjectReader>();
        var i = 0;
        foreach (var item in v.EnumerateArray())
        {
            if (item.ValueKind == JsonValueKind.Object) readers.Add(new(item, $"{Path}.{key}[{i}]", File, errors));
            else Error($"{key}[{i}]", JsonInput.Describe(item), "an object");
            i++;
        }
        return readers;
    }

    /// <summary>A list of texts that are not empty; empty when absent and not required, or wrong.</summary>
    public IReadOnlyList<string> Texts(string key, bool required = true, int length = -1)
    {
        var expected = length < 0 ? "a list of texts" : $"a list of {length} texts";
        if (!Take(key, required, expected, out var v)) return [];
        if (v.ValueKind == JsonValueKind.Array && (length < 0 || v.GetArrayLength() == length)
            && v.EnumerateArray().All(e => e.ValueKind == JsonValueKind.String && !string.IsNullOrWhiteSpace(e.GetString())))
            return v.EnumerateArray().Select(e => e.GetString()!).ToArray();
        Error(key, JsonInput.Describe(v), expected);
        return [];
    }

    /// <summary>Reports every key that no call asked for.</summary>
    public void End()
    {
        foreach (var key in values.Keys.Where(k => !known.Contains(k)))
            Error(key, "an unknown key", "one of " + string.Join(", ", known));
    }

    private bool Take(string key, bool required, string expected, out JsonElement value)
    {
        if (!known.Contains(key)) known.Add(key);
        if (values.TryGetValue(key, out value) && value.ValueKind != JsonValueKind.Null) return true;
        if (required) Error(key, "nothing", expected);
        return false;
    }

    private double[] ReadNumbers(JsonElement v, string key, double min, double max, int length, string expected)
    {
        if (v.ValueKind != JsonValueKind.Array || (length >= 0 && v.GetArrayLength() != length))
        {
            Error(key, JsonInput.Describe(v), expected);
            return [];
        }
        var numbers = new double[v.GetArrayLength()];
        var i = 0;
        foreach (var item in v.EnumerateArray())
        {
            if (item.ValueKind == JsonValueKind.Number && item.TryGetDouble(out var d) && double.IsFinite(d) && d >= min && d <= max) numbers[i] = d;
            else Error($"{key}[{i}]", JsonInput.Describe(item), string.Create(CultureInfo.InvariantCulture, $"a number from {min:R} to {max:R}"));
            i++;
        }
        return numbers;
    }
}
