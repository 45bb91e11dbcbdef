using System.Text;
using Phasekeeper.Core.Comparison;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Intake;

/// <summary>
/// Tells orbit, attitude and activity files and sets of independent winds from packets, by what they hold first and by their extension second: a file named .pkt
/// is always packets, and one that opens like text of a known format is that, whatever its name.
/// </summary>
internal static class AuxiliaryRecognizer
{
    /// <summary>Bytes of the beginning that are looked at.</summary>
    public const int HeadBytes = 4096;

    /// <summary>Kind and format; null: packets.</summary>
    public static (string Kind, string Format)? Recognize(string name, ReadOnlySpan<byte> head)
    {
        var extension = Path.GetExtension(name).ToLowerInvariant();
        if (extension == ".pkt") return null;
        if (IsText(head) && OfText(Encoding.UTF8.GetString(head).TrimStart('\uFEFF', ' ', '\t', '\r', '\n')) is { } known) return known;
        return extension switch
        {
            ".oem" => (AuxiliaryKind.Orbit, "oem"),
            ".omm" => (AuxiliaryKind.Orbit, "omm"),
            ".tle" => (AuxiliaryKind.Orbit, "tle"),
            ".aem" => (AuxiliaryKind.Attitude, "aem"),
            ".ics" => (AuxiliaryKind.Activities, "ics"),
            ".csv" => (AuxiliaryKind.Winds, "csv"),
            _ => null,
        };
    }

    private static (string, string)? OfText(string text)
    {
        if (text.StartsWith("CCSDS_OEM_VERS", StringComparison.Ordinal)) return (AuxiliaryKind.Orbit, "oem");
        if (text.StartsWith("CCSDS_OMM_VERS", StringComparison.Ordinal)) return (AuxiliaryKind.Orbit, "omm");
        if (text.StartsWith("CCSDS_AEM_VERS", StringComparison.Ordinal)) return (AuxiliaryKind.Attitude, "aem");
        if (text.StartsWith("BEGIN:VCALENDAR", StringComparison.OrdinalIgnoreCase)) return (AuxiliaryKind.Activities, "ics");
        if (text.StartsWith('<') && (text.Contains("<omm", StringComparison.Ordinal) || text.Contains("<ndm", StringComparison.Ordinal))) return (AuxiliaryKind.Orbit, "omm");
        if (IndependentWindFile.Recognizes(text)) return (AuxiliaryKind.Winds, "csv");
        return IsTwoLineSet(text) ? (AuxiliaryKind.Orbit, "tle") : null;
    }

    // A line of 69 characters that starts with "1 ", then one that starts with "2 ", perhaps after a line with a name.
    private static bool IsTwoLineSet(string text)
    {
        var lines = text.Split('\n', 4);
        for (var i = 0; i < Math.Min(2, lines.Length - 1); i++)
            if (lines[i].TrimEnd().Length == 69 && lines[i].StartsWith("1 ", StringComparison.Ordinal) && lines[i + 1].StartsWith("2 ", StringComparison.Ordinal)) return true;
        return false;
    }

    private static bool IsText(ReadOnlySpan<byte> head) => head.Length > 0 && head.IndexOfAnyInRange((byte)0, (byte)8) < 0;
}
