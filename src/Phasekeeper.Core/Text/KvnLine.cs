using System.Globalization;

namespace Phasekeeper.Core.Text;

/// <summary>
/// A line of a CCSDS file in key = value notation (KVN, e.g. CCSDS 502.0-B section 7): comments and empty lines are left out, a unit in
/// brackets is split off. A line without '=' has an empty key: a data line or a marker such as META_START.
/// </summary>
internal readonly record struct KvnLine(int Number, string Key, string Value, string? Unit)
{
    /// <summary>All lines that carry something.</summary>
    public static List<KvnLine> Split(string text)
    {
        var lines = new List<KvnLine>();
        var number = 0;
        foreach (var raw in text.TrimStart('\uFEFF').EnumerateLines())
        {
            number++;
            var line = raw.Trim();
            if (line.IsEmpty || line.StartsWith("COMMENT", StringComparison.Ordinal)) continue;
            var equals = line.IndexOf('=');
            if (equals < 0)
            {
                lines.Add(new(number, "", line.ToString(), null));
                continue;
            }
            var value = line[(equals + 1)..].Trim();
            string? unit = null;
            if (value.EndsWith("]") && value.LastIndexOf('[') is var open and >= 0)
            {
                unit = value[(open + 1)..^1].Trim().ToString();
                value = value[..open].Trim();
            }
            lines.Add(new(number, line[..equals].Trim().ToString(), value.ToString(), unit));
        }
        return lines;
    }

    /// <summary>Reads a finite number in the file's notation (point, optional exponent).</summary>
    public static bool TryNumber(ReadOnlySpan<char> text, out double value) =>
        double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out value) && double.IsFinite(value);
}
