using System.Text.Json;
using Phasekeeper.Core.Text;

namespace Phasekeeper.Core.Input;

/// <summary>
/// Opens a JSON file that a person wrote for strict reading: comments and trailing commas are allowed, unknown and repeated keys
/// are mistakes. All mistakes of the file are collected in one list; a reader never stops at the first.
/// </summary>
public static class JsonInput
{
    private static readonly JsonDocumentOptions Options = new() { CommentHandling = JsonCommentHandling.Skip, AllowTrailingCommas = true, MaxDepth = 32 };

    /// <summary>
    /// Parses the text and gives its root object, or null with the syntax error (line and column) added to <paramref name="errors"/>.
    /// </summary>
    public static JsonObjectReader? Open(string text, string file, List<InputError> errors)
    {
        JsonElement root;
        if (!WholeText.IsInJson(text))
        {
            errors.Add(new(file, "$", WholeText.Found, WholeText.Expected));
            return null;
        }
        try
        {
            using var document = JsonDocument.Parse(text, Options);
            root = document.RootElement.Clone();
        }
        catch (JsonException e)
        {
            errors.Add(new(file, $"line {e.LineNumber + 1}, column {e.BytePositionInLine + 1}", "text that is not JSON (" + FirstSentence(e.Message) + ")", "JSON (comments and trailing commas are allowed)"));
            return null;
        }
        if (root.ValueKind == JsonValueKind.Object) return new JsonObjectReader(root, "$", file, errors);
        errors.Add(new(file, "$", Describe(root), "an object"));
        return null;
    }

    /// <summary>How a value is named in an error.</summary>
    internal static string Describe(JsonElement element) => element.ValueKind switch
    {
        JsonValueKind.Object => "an object",
        JsonValueKind.Array => $"a list of {element.GetArrayLength()}",
        JsonValueKind.Null => "null",
        _ => Shorten(element.GetRawText()),
    };

    internal static string Shorten(string text) => text.Length <= 60 ? text : text[..57] + "…";

    private static string FirstSentence(string message)
    {
        var end = message.IndexOf(". ", StringComparison.Ordinal);
        return end < 0 ? message.TrimEnd('.') : message[..end];
    }
}
