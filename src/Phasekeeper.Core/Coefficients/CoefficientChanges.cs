using System.Text.Json.Nodes;
using Phasekeeper.Core.Input;

namespace Phasekeeper.Core.Coefficients;

/// <summary>One change of a set's JSON.</summary>
/// <param name="Number">Where it stands, as <see cref="CoefficientNumber.Number"/>; also a whole list, optics.flat (a file's name) or badSamples.</param>
/// <param name="View">View; null where it does not apply.</param>
/// <param name="Line">Line; null where it does not apply.</param>
/// <param name="Index">Place in a list, outermost first; empty: the whole.</param>
/// <param name="Value">What stands there from now on.</param>
public sealed record CoefficientChange(string Number, string? View, string? Line, IReadOnlyList<int> Index, JsonNode? Value);

/// <summary>Changes the contract's JSON of a set. Ranges and shapes are checked by whoever reads the result (<see cref="CoefficientSetReader"/>).</summary>
public static class CoefficientChanges
{
    /// <summary>Changes <paramref name="set"/> in place; a change that fits nowhere is added to <paramref name="errors"/>.</summary>
    /// <param name="set">The contract's JSON as <see cref="CoefficientSetWriter"/> writes it: every number stands in it.</param>
    /// <param name="changes">Changes, in order.</param>
    /// <param name="file">Name of the changes' source, for errors.</param>
    /// <param name="errors">Where mistakes go.</param>
    public static void Apply(JsonObject set, IReadOnlyList<CoefficientChange> changes, string file, ICollection<InputError> errors)
    {
        ArgumentNullException.ThrowIfNull(set);
        ArgumentNullException.ThrowIfNull(changes);
        ArgumentNullException.ThrowIfNull(errors);
        for (var i = 0; i < changes.Count; i++)
            if (Apply(set, changes[i]) is { } mistake) errors.Add(new(file, $"$.changes[{i}]", mistake));
    }

    // Null when it was applied; else what was found and expected.
    private static string? Apply(JsonObject set, CoefficientChange change)
    {
        var parts = change.Number.Split('.');
        if (parts is ["badSamples"])
        {
            set["badSamples"] = change.Value?.DeepClone();
            return null;
        }
        JsonNode? node = parts[0] switch
        {
            "dark" => set["dark"],
            "optics" => Find(set["optics"], change.View, change.Line),
            "imageShift" => Find(set["imageShift"], change.View, null),
            _ => null,
        };
        if (parts[0] is not ("dark" or "optics" or "imageShift") || parts.Length < 2)
            return $"found the number '{change.Number}'; expected one of dark.…, optics.…, imageShift.… as in the set's JSON, or badSamples";
        if (node is null) return $"found view '{change.View}' and line '{change.Line}'; expected those of one entry of {parts[0]}";
        foreach (var part in parts[1..^1]) node = node is JsonObject inner ? inner[part] : null;
        if (node is not JsonObject holder || (!holder.ContainsKey(parts[^1]) && change.Number != "optics.flat"))
            return $"found the number '{change.Number}'; expected one that stands in the set's JSON";
        if (change.Index.Count == 0)
        {
            holder[parts[^1]] = change.Value?.DeepClone();
            return null;
        }
        var list = holder[parts[^1]];
        foreach (var at in change.Index.SkipLast(1)) list = list is JsonArray outer && at >= 0 && at < outer.Count ? outer[at] : null;
        if (list is not JsonArray array || change.Index[^1] < 0 || change.Index[^1] >= array.Count)
            return $"found the place {string.Join(",", change.Index)} of {change.Number}; expected one within its list";
        array[change.Index[^1]] = change.Value?.DeepClone();
        return null;
    }

    private static JsonNode? Find(JsonNode? list, string? view, string? line) => (list as JsonArray)?.OfType<JsonObject>()
        .SingleOrDefault(o => (string?)o["view"] == view && (line is null ? !o.ContainsKey("line") : (string?)o["line"] == line));
}
