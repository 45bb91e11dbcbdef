using System.Globalization;
using System.Xml;
using System.Xml.Linq;

namespace Phasekeeper.Packets.Xtce;

/// <summary>Collects the errors of a definition while it is read, and reads attributes with their line numbers.</summary>
internal sealed class XtceReadContext
{
    // Words for people; they change no number.
    private static readonly HashSet<string> Documentation = ["LongDescription", "AliasSet", "AncillaryDataSet", "Header", "History", "Note", "NoteSet", "AuthorSet"];

    private readonly List<XtceError> _errors = [];

    /// <summary>All errors so far, by line.</summary>
    public IReadOnlyList<XtceError> Errors => _errors;

    public void Error(XElement element, string message) => Error(LineOf(element), element.Name.LocalName, message);

    public void Error(int line, string element, string message) => _errors.Add(new(line, element, message));

    public static int LineOf(XObject node) => ((IXmlLineInfo)node).LineNumber;

    /// <summary>Reports every child element and attribute that is not named here: what is not understood is never skipped.</summary>
    public void Allow(XElement element, string[] children, string[] attributes)
    {
        foreach (var child in element.Elements())
            if (!Documentation.Contains(child.Name.LocalName) && !children.Contains(child.Name.LocalName))
                Error(child, $"not supported inside <{element.Name.LocalName}>; supported there: {List(children)}.");
        foreach (var attribute in element.Attributes())
            // Attributes with a prefix (xsi:…, xml:…) and namespace declarations are not XTCE's.
            if (!attribute.IsNamespaceDeclaration && attribute.Name.NamespaceName.Length == 0
                && attribute.Name.LocalName is not ("name" or "shortDescription") && !attributes.Contains(attribute.Name.LocalName))
                Error(LineOf(attribute), element.Name.LocalName, $"attribute {attribute.Name.LocalName}=\"{attribute.Value}\" is not supported; supported: {List(attributes)}.");
    }

    public static XElement? Child(XElement element, string name) => element.Elements().FirstOrDefault(e => e.Name.LocalName == name);

    public static IEnumerable<XElement> Children(XElement element, string name) => element.Elements().Where(e => e.Name.LocalName == name);

    public static string? Text(XElement element, string attribute) => element.Attribute(attribute)?.Value.Trim();

    public string Required(XElement element, string attribute)
    {
        var value = Text(element, attribute);
        if (!string.IsNullOrEmpty(value)) return value;
        Error(element, $"attribute {attribute} is missing.");
        return "";
    }

    public int Int(XElement element, string attribute, int standard, int least, int most)
    {
        var text = Text(element, attribute);
        if (text is null) return standard;
        if (int.TryParse(text, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var value) && value >= least && value <= most) return value;
        Error(element, $"attribute {attribute}=\"{text}\"; expected a whole number from {least} to {most}.");
        return standard;
    }

    public long Long(XElement element, string? text, long standard, string what)
    {
        if (text is not null && TryLong(text.Trim(), out var value)) return value;
        Error(element, $"{what} is '{text ?? "missing"}'; expected a whole number.");
        return standard;
    }

    public double Double(XElement element, string attribute, double standard)
    {
        var text = Text(element, attribute);
        if (text is null) return standard;
        if (double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out var value) && double.IsFinite(value)) return value;
        Error(element, $"attribute {attribute}=\"{text}\"; expected a number.");
        return standard;
    }

    public bool Bool(XElement element, string attribute, bool standard)
    {
        switch (Text(element, attribute))
        {
            case null: return standard;
            case "true" or "1": return true;
            case "false" or "0": return false;
            case var text:
                Error(element, $"attribute {attribute}=\"{text}\"; expected true or false.");
                return standard;
        }
    }

    public T OneOf<T>(XElement element, string attribute, T standard, params (string Text, T Value)[] choices)
    {
        var text = Text(element, attribute);
        if (text is null) return standard;
        foreach (var choice in choices)
            if (choice.Text == text) return choice.Value;
        Error(element, $"attribute {attribute}=\"{text}\" is not supported; supported: {List(choices.Select(c => c.Text))}.");
        return standard;
    }

    /// <summary>Decimal or 0x hexadecimal whole number.</summary>
    public static bool TryLong(string text, out long value)
    {
        if (!text.StartsWith("0x", StringComparison.OrdinalIgnoreCase))
            return long.TryParse(text, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out value);
        return long.TryParse(text.AsSpan(2), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out value);
    }

    public static string? Describe(XElement element) =>
        Text(element, "shortDescription") is { Length: > 0 } brief ? brief : Child(element, "LongDescription")?.Value.Trim() is { Length: > 0 } full ? full : null;

    private static string List(IEnumerable<string> names) => string.Join(", ", names) is { Length: > 0 } text ? text : "nothing";
}
