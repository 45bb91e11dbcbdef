using System.Text.Json;
using System.Text.Json.Nodes;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Input;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Text;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients;

/// <summary>
/// Reads what is proposed by hand. Three forms: the contract's JSON itself; that JSON as "coefficients" with its flat fields as "flats" (file name to CSV text) and a "reason"; or "base" (number or name of a set),
/// "name", "validFrom" and "changes" with a "reason". A flat field that is named but not sent is looked for in the profile folder.
/// </summary>
public static class ProposalReader
{
    private const string File = "proposal";
    private const string NoReason = "Brought as a file, without a reason of its own.";

    /// <summary>The proposal.</summary>
    /// <param name="text">JSON.</param>
    /// <param name="reason">Why, where the text does not say it; null = what it says.</param>
    /// <param name="folder">The mission's profile.</param>
    /// <param name="store">Sets that changes can begin from.</param>
    /// <exception cref="InputException">All mistakes.</exception>
    public static CoefficientProposal Read(string text, string? reason, MissionFolder folder, CoefficientStore store)
    {
        ArgumentNullException.ThrowIfNull(folder);
        ArgumentNullException.ThrowIfNull(store);
        var errors = new List<InputError>();
        var root = Root(text, errors);
        if (root is null || folder.Profile.Instrument is not { } instrument)
            throw new InputException(errors.Count > 0 ? errors : [new(File, "$", "coefficients", "nothing: this mission's profile has no instrument")]);
        var (set, said) = ((CoefficientSet?)null, (string?)null);
        try
        {
            (set, said) = root.ContainsKey("schema") ? (Read(root, new Dictionary<string, string>(), instrument, folder, errors), null)
                : root.ContainsKey("base") ? Changed(root, instrument, folder, store, errors)
                : Whole(root, instrument, folder, errors);
        }
        catch (ArgumentException e) when (e.ParamName == "key")
        {
            errors.Add(RepeatedKey(e));
        }
        if (set is null || errors.Count > 0) throw new InputException(errors);
        return new() { Set = set, Reason = said ?? (string.IsNullOrWhiteSpace(reason) ? NoReason : reason), Source = CoefficientSource.ByHand };
    }

    private static (CoefficientSet?, string?) Whole(JsonObject root, InstrumentModel instrument, MissionFolder folder, List<InputError> errors)
    {
        Known(root, errors, "coefficients", "flats", "reason");
        if (root["coefficients"] is not JsonObject coefficients)
        {
            errors.Add(new(File, "$.coefficients", "none", "the contract's coefficients.json; or \"base\" and \"changes\""));
            return (null, null);
        }
        return (Read(coefficients, Flats(root, errors), instrument, folder, errors), Text(root, "reason", true, errors));
    }

    private static (CoefficientSet?, string?) Changed(JsonObject root, InstrumentModel instrument, MissionFolder folder, CoefficientStore store, List<InputError> errors)
    {
        Known(root, errors, "base", "name", "validFrom", "changes", "flats", "reason");
        var (name, validFrom, reason) = (Text(root, "name", true, errors), Text(root, "validFrom", true, errors), Text(root, "reason", true, errors));
        var from = root["base"] is JsonValue v ? v.TryGetValue<long>(out var id) ? store.Get(id) : v.TryGetValue<string>(out var named) && store.Names().FirstOrDefault(s => s.Name == named) is { Id: > 0 } one ? store.Get(one.Id) : null : null;
        if (from is null)
        {
            errors.Add(new(File, "$.base", root["base"]?.ToJsonString() ?? "null", $"number or name of a set: {string.Join(", ", store.Names().Select(s => $"{s.Id} '{s.Name}'"))}"));
            return (null, reason);
        }
        var package = JsonNode.Parse(from.Json)!.AsObject();
        var coefficients = package["coefficients"]!.AsObject();
        var flats = package["flats"]!.AsObject().ToDictionary(f => f.Key, f => f.Value!.GetValue<string>(), StringComparer.Ordinal);
        foreach (var (file, csv) in Flats(root, errors)) flats[file] = csv;
        (coefficients["name"], coefficients["validFrom"]) = (name, validFrom);
        CoefficientChanges.Apply(coefficients, Changes(root, errors), File, errors);
        return (errors.Count > 0 ? null : Read(coefficients, flats, instrument, folder, errors), reason);
    }

    private static List<CoefficientChange> Changes(JsonObject root, List<InputError> errors)
    {
        var changes = new List<CoefficientChange>();
        if (root["changes"] is not JsonArray { Count: > 0 } list)
        {
            errors.Add(new(File, "$.changes", root["changes"]?.ToJsonString() ?? "none", "a list of at least one change"));
            return changes;
        }
        for (var i = 0; i < list.Count; i++)
        {
            if (list[i] is not JsonObject change || change["number"] is not JsonValue number || !number.TryGetValue<string>(out var name) || !change.ContainsKey("value"))
            {
                errors.Add(new(File, $"$.changes[{i}]", list[i]?.ToJsonString() ?? "null", "an object with number, value and, where they apply, view, line and index"));
                continue;
            }
            Known(change, errors, "number", "view", "line", "index", "value");
            int[]? index = change["index"] switch
            {
                null => [],
                JsonValue v when v.TryGetValue<int>(out var one) => [one],
                JsonArray a when a.All(x => x is JsonValue xv && xv.TryGetValue<int>(out _)) => [.. a.Select(x => x!.GetValue<int>())],
                _ => null,
            };
            if (index is null) errors.Add(new(File, $"$.changes[{i}].index", change["index"]!.ToJsonString(), "a whole number, or a list of them"));
            else changes.Add(new(name, Text(change, "view", false, errors), Text(change, "line", false, errors), index, change["value"]));
        }
        return changes;
    }

    private static CoefficientSet? Read(JsonObject coefficients, IReadOnlyDictionary<string, string> flats, InstrumentModel instrument, MissionFolder folder, List<InputError> errors) =>
        CoefficientSetReader.Read(coefficients.ToJsonString(), "coefficients", instrument, name => flats.TryGetValue(name, out var csv) ? csv : FromFolder(folder.Path, name), errors);

    // The reader has made sure that it is a name without a path.
    private static string? FromFolder(string folder, string name)
    {
        var path = Path.Combine(folder, name);
        return System.IO.File.Exists(path) ? System.IO.File.ReadAllText(path) : null;
    }

    private static Dictionary<string, string> Flats(JsonObject root, List<InputError> errors)
    {
        var flats = new Dictionary<string, string>(StringComparer.Ordinal);
        if (root["flats"] is null) return flats;
        if (root["flats"] is not JsonObject named) errors.Add(new(File, "$.flats", root["flats"]!.ToJsonString(), "an object: file name to CSV text"));
        else
            foreach (var (file, value) in named)
                if (value is JsonValue v && v.TryGetValue<string>(out var csv)) flats[file] = csv;
                else errors.Add(new(File, $"$.flats.{file}", value?.ToJsonString() ?? "null", "CSV text"));
        return flats;
    }

    private static string? Text(JsonObject from, string key, bool required, List<InputError> errors)
    {
        if (from[key] is JsonValue v && v.TryGetValue<string>(out var text) && text.Trim().Length > 0) return text;
        if (required || from[key] is not null) errors.Add(new(File, $"$.{key}", from[key]?.ToJsonString() ?? "none", "a text that is not empty"));
        return null;
    }

    private static void Known(JsonObject from, List<InputError> errors, params string[] keys)
    {
        foreach (var key in from.Select(p => p.Key).Except(keys)) errors.Add(new(File, $"$.{key}", "an unknown key", "one of " + string.Join(", ", keys)));
    }

    // Objects show repeated keys when they are first looked into, wherever that is.
    private static InputError RepeatedKey(ArgumentException e) => new(File, "$", $"a repeated key ({e.Message})", "each key once");

    private static JsonObject? Root(string text, List<InputError> errors)
    {
        if (!WholeText.IsInJson(text))
        {
            errors.Add(new(File, "$", WholeText.Found, WholeText.Expected));
            return null;
        }
        try
        {
            var node = JsonNode.Parse(text, documentOptions: new() { CommentHandling = JsonCommentHandling.Skip, AllowTrailingCommas = true });
            // Repeated keys show when an object is first looked into.
            if (node is JsonObject root && root.Count >= 0) return root;
            errors.Add(new(File, "$", node is null ? "null" : "a list or a value", "an object"));
        }
        catch (JsonException e)
        {
            errors.Add(new(File, $"line {e.LineNumber + 1}, column {e.BytePositionInLine + 1}", "text that is not JSON", "JSON (comments and trailing commas are allowed)"));
        }
        catch (ArgumentException e)
        {
            errors.Add(RepeatedKey(e));
        }
        return null;
    }
}
