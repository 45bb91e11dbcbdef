using System.Globalization;
using System.Text;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Profile;

/// <summary>Writes planned activities as iCalendar (RFC 5545).</summary>
public static class ActivitiesFile
{
    /// <summary>Text of the file, with the line ends (CR LF) and the folding at 75 bytes that the format asks for.</summary>
    public static string Write(DemoScenario scenario)
    {
        var text = new StringBuilder();
        void Line(string line)
        {
            // Folded lines go on after CR LF and a space; the texts here are ASCII, so characters are bytes.
            for (var at = 0; at < line.Length; at += 73)
                text.Append(at == 0 ? "" : " ").Append(line.AsSpan(at, Math.Min(73, line.Length - at))).Append("\r\n");
        }
        Line("BEGIN:VCALENDAR");
        Line("VERSION:2.0");
        Line("PRODID:-//Phasekeeper//Demo scenario//EN");
        foreach (var a in scenario.Activities)
        {
            Line("BEGIN:VEVENT");
            Line($"UID:{a.Uid}@kittiwake.example");
            Line($"DTSTAMP:{Stamp(scenario.Start)}");
            Line($"DTSTART:{Stamp(scenario.At(a.StartHours))}");
            Line($"DTEND:{Stamp(scenario.At(a.StartHours + a.DurationHours))}");
            Line($"SUMMARY:{Escape(a.Summary)}");
            Line($"CATEGORIES:{Escape(a.Category)}");
            Line($"DESCRIPTION:{Escape(a.Description)}");
            Line("END:VEVENT");
        }
        Line("END:VCALENDAR");
        return text.ToString();
    }

    private static string Stamp(Instant time) => time.ToDateTimeUtc().ToString("yyyyMMdd'T'HHmmss'Z'", CultureInfo.InvariantCulture);

    private static string Escape(string text) => text.Replace("\\", "\\\\", StringComparison.Ordinal).Replace(";", "\\;", StringComparison.Ordinal)
        .Replace(",", "\\,", StringComparison.Ordinal).Replace("\n", "\\n", StringComparison.Ordinal);
}
