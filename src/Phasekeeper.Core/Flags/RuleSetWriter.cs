using System.Text;
using System.Text.Json;

namespace Phasekeeper.Core.Flags;

/// <summary>Writes a set as rules.json; reading it again gives the same set.</summary>
public static class RuleSetWriter
{
    private static readonly JsonWriterOptions Options = new() { Indented = true, NewLine = "\n", Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <summary>The text, with every parameter that is set.</summary>
    public static string Write(RuleSet set)
    {
        using var stream = new MemoryStream();
        using (var json = new Utf8JsonWriter(stream, Options))
        {
            json.WriteStartObject();
            json.WriteString("schema", RuleSet.Schema);
            json.WriteString("name", set.Name);
            json.WriteStartArray("rules");
            foreach (var rule in set.Rules) Rule(json, rule);
            json.WriteEndArray();
            json.WriteEndObject();
        }
        return Encoding.UTF8.GetString(stream.ToArray()) + "\n";
    }

    private static void Rule(Utf8JsonWriter json, RuleDeclaration rule)
    {
        var kind = RuleCatalog.Of(rule.Kind);
        json.WriteStartObject();
        json.WriteString("id", rule.Id);
        json.WriteString("kind", rule.Kind);
        json.WriteNumber("version", rule.Version);
        if (!rule.Enabled) json.WriteBoolean("enabled", false);
        Texts(json, "trackers", rule.Trackers);
        Texts(json, "channels", rule.Channels);
        if (rule.View is not null) json.WriteString("view", rule.View);
        if (rule.Line is not null) json.WriteString("line", rule.Line);
        json.WriteStartObject("parameters");
        foreach (var p in kind.Parameters)
        {
            var value = rule[p.Name];
            // A default that was taken away must be written, or reading would bring it back.
            if (double.IsNaN(value)) { if (!double.IsNaN(p.Default)) json.WriteNull(p.Name); }
            else if (p.Type == RuleParameterType.Switch) json.WriteBoolean(p.Name, value != 0);
            else json.WriteNumber(p.Name, value);
        }
        json.WriteEndObject();
        json.WriteEndObject();
    }

    private static void Texts(Utf8JsonWriter json, string key, IReadOnlyList<string> texts)
    {
        if (texts.Count == 0) return;
        json.WriteStartArray(key);
        foreach (var text in texts) json.WriteStringValue(text);
        json.WriteEndArray();
    }
}
