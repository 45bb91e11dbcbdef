using System.Globalization;
using System.Text;
using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Pipeline.Activities;

/// <summary>Writes activities as an iCalendar file (RFC 5545): one event an occurrence, times in UTC, cancelled ones with their status. The same plan gives the same text.</summary>
public static class ActivityExport
{
    // RFC 5545, section 3.1: lines should not be longer than 75 octets, the line break left out.
    private const int LongestLine = 75;

    /// <summary>The calendar's text.</summary>
    public static string Write(IEnumerable<ActivityEntry> entries)
    {
        ArgumentNullException.ThrowIfNull(entries);
        var text = new StringBuilder();
        Line(text, "BEGIN:VCALENDAR");
        Line(text, "VERSION:2.0");
        Line(text, "PRODID:-//Phasekeeper//Planned activities//EN");
        foreach (var entry in entries) Event(text, entry);
        Line(text, "END:VCALENDAR");
        return text.ToString();
    }

    private static void Event(StringBuilder text, ActivityEntry entry)
    {
        var a = entry.Activity;
        Line(text, "BEGIN:VEVENT");
        Line(text, $"UID:{a.Id}");
        // Required (section 3.6.1); without METHOD it is when the event was last revised (section 3.8.7.2), for which the start stands where that is not known.
        Line(text, $"DTSTAMP:{Stamp(entry.Modified ?? a.From)}");
        Line(text, $"DTSTART:{Stamp(a.From)}");
        // An event without a length has no DTEND, which must be later (section 3.8.2.2).
        if (a.To > a.From) Line(text, $"DTEND:{Stamp(a.To)}");
        Line(text, $"SEQUENCE:{entry.Sequence.ToString(CultureInfo.InvariantCulture)}");
        if (entry.Modified is { } modified) Line(text, $"LAST-MODIFIED:{Stamp(modified)}");
        Line(text, $"STATUS:{(entry.IsCancelled ? "CANCELLED" : "CONFIRMED")}");
        Line(text, $"SUMMARY:{Escape(a.Summary)}");
        Line(text, $"CATEGORIES:{Escape(a.Kind.Id)}");
        if (a.Description is { } note) Line(text, $"DESCRIPTION:{Escape(note)}");
        if (a.Expects is { } topics) Line(text, $"{ActivityFile.ExpectsProperty}:{ActivityTopics.Join(topics)}");
        Line(text, "END:VEVENT");
    }

    private static void Line(StringBuilder text, string line)
    {
        var octets = 0;
        foreach (var rune in line.EnumerateRunes())
        {
            // A character is never cut; the space that goes on counts too.
            if (octets + rune.Utf8SequenceLength > LongestLine)
            {
                text.Append("\r\n ");
                octets = 1;
            }
            text.Append(rune.ToString());
            octets += rune.Utf8SequenceLength;
        }
        text.Append("\r\n");
    }

    private static string Stamp(Instant time) => time.ToDateTimeUtc().ToString("yyyyMMdd'T'HHmmss'Z'", CultureInfo.InvariantCulture);

    private static string Escape(string text) => text.Replace("\\", "\\\\", StringComparison.Ordinal).Replace(";", "\\;", StringComparison.Ordinal)
        .Replace(",", "\\,", StringComparison.Ordinal).Replace("\n", "\\n", StringComparison.Ordinal);
}
