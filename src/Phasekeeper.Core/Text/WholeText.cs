using System.Globalization;

namespace Phasekeeper.Core.Text;

/// <summary>
/// Whether a text can be written as UTF-8: half of a surrogate pair (U+D800 to U+DFFF standing alone, The Unicode Standard, section 3.9, D91) cannot, so it could be neither stored nor hashed as given.
/// All texts that people give are asked here.
/// </summary>
public static class WholeText
{
    /// <summary>What is found, for refusals.</summary>
    public const string Found = "half a character (a surrogate that stands alone)";

    /// <summary>What is expected, for refusals.</summary>
    public const string Expected = "text of whole characters";

    /// <summary>Whether a text holds whole characters only.</summary>
    public static bool Is(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        for (var i = 0; i < text.Length; i++)
            if (char.IsHighSurrogate(text[i]) && i + 1 < text.Length && char.IsLowSurrogate(text[i + 1])) i++;
            else if (char.IsSurrogate(text[i])) return false;
        return true;
    }

    /// <summary>
    /// Whether all strings of a JSON text hold whole characters only, those written as <c>\uXXXX</c> included; a reader would stop at such a string when it is looked into, which may be late. Text that is no JSON is
    /// judged all the same.
    /// </summary>
    public static bool IsInJson(string json)
    {
        ArgumentNullException.ThrowIfNull(json);
        var high = false;
        for (var i = 0; i < json.Length; i++)
        {
            var unit = json[i];
            if (unit == '\\' && i + 1 < json.Length)
            {
                // \\, \", \n and the like are one character of no interest; \uXXXX is a UTF-16 code unit.
                ushort code = 0;
                var isCode = json[i + 1] == 'u' && i + 5 < json.Length && ushort.TryParse(json.AsSpan(i + 2, 4), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out code);
                unit = isCode ? (char)code : 'x';
                i += isCode ? 5 : 1;
            }
            if (high != char.IsLowSurrogate(unit)) return false;
            high = char.IsHighSurrogate(unit);
        }
        return !high;
    }
}
