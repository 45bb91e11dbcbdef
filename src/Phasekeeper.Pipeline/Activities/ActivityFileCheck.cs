using System.Globalization;
using Ical.Net.DataTypes;
using Phasekeeper.Core.Activities;

namespace Phasekeeper.Pipeline.Activities;

/// <summary>
/// Checks the lines of an iCalendar file (RFC 5545) before the calendar library reads it: the library skips or guesses where a person must
/// be told, and knows no line numbers. Looked at: nesting of components, and of every VEVENT its UID, start, end and time zones.
/// </summary>
internal sealed class ActivityFileCheck
{
    private readonly List<ActivityFileError> _errors = [];
    private readonly Stack<(string Name, int Line)> _open = new();
    private Event? _event;

    /// <summary>All mistakes of the text, by line; empty when there is none.</summary>
    public static IReadOnlyList<ActivityFileError> Run(string text)
    {
        var check = new ActivityFileCheck();
        var lines = Unfold(text);
        foreach (var (content, line) in lines) check.Line(content, line);
        foreach (var (name, line) in check._open) check.Add(line, $"BEGIN:{name} has no END:{name}; the file is cut or the component not closed");
        if (lines.Count == 0 || !lines[0].Content.Equals("BEGIN:VCALENDAR", StringComparison.OrdinalIgnoreCase))
            check.Add(1, $"found '{(lines.Count == 0 ? "" : Short(lines[0].Content))}'; expected BEGIN:VCALENDAR (iCalendar, RFC 5545)");
        return [.. check._errors.OrderBy(e => e.Line)];
    }

    // A line that begins with a space or tab continues the one before (RFC 5545, section 3.1).
    private static List<(string Content, int Line)> Unfold(string text)
    {
        var result = new List<(string, int)>();
        var number = 0;
        foreach (var raw in text.TrimStart('\uFEFF').Split('\n'))
        {
            number++;
            var line = raw.TrimEnd('\r');
            if (line.Length > 0 && line[0] is ' ' or '\t' && result.Count > 0) result[^1] = (result[^1].Item1 + line[1..], result[^1].Item2);
            else if (line.Length > 0) result.Add((line, number));
        }
        return result;
    }

    private void Line(string content, int line)
    {
        var colon = ValueColon(content);
        if (colon <= 0) { Add(line, $"found '{Short(content)}'; expected NAME:value"); return; }
        var head = content[..colon].Split(';');
        var name = head[0].ToUpperInvariant();
        var value = content[(colon + 1)..];
        if (name == "BEGIN") Begin(value.ToUpperInvariant(), line);
        else if (name == "END") End(value.ToUpperInvariant(), line);
        else if (_event is not null && _open.Peek().Name == "VEVENT") Property(name, head[1..], value, line);
    }

    // The first colon outside double quotes ends the parameters.
    private static int ValueColon(string content)
    {
        var quoted = false;
        for (var i = 0; i < content.Length; i++)
        {
            if (content[i] == '"') quoted = !quoted;
            else if (content[i] == ':' && !quoted) return i;
        }
        return -1;
    }

    private void Begin(string component, int line)
    {
        _open.Push((component, line));
        if (component == "VEVENT") _event = new Event(line);
    }

    private void End(string component, int line)
    {
        if (_open.Count == 0) { Add(line, $"found END:{component}, but nothing is open"); return; }
        var (name, begun) = _open.Pop();
        if (name != component) Add(line, $"found END:{component}; expected END:{name} for the BEGIN on line {begun}");
        if (name != "VEVENT" || _event is not { } e) return;
        if (!e.HasUid) Add(e.Line, "the event has no UID; expected one, so that its occurrences can be told apart");
        if (!e.HasStart) Add(e.Line, "the event has no DTSTART; expected one");
        if (e.StartUtc is { } start && e.EndUtc is { } end && end < start)
            Add(e.EndLine, string.Create(CultureInfo.InvariantCulture, $"the event ends {end:yyyy-MM-ddTHH:mm:ssZ}, before it starts {start:yyyy-MM-ddTHH:mm:ssZ}"));
        if (e.HasDuration && e.EndLine > 0) Add(e.EndLine, "the event has DTEND and DURATION; expected one of them");
        _event = null;
    }

    private void Property(string name, string[] parameters, string value, int line)
    {
        var e = _event!;
        switch (name)
        {
            case "UID":
                e.HasUid = value.Trim().Length > 0;
                break;
            case "DTSTART":
                e.HasStart = true;
                e.StartUtc = Time(name, parameters, value, line);
                break;
            case "DTEND":
                e.EndLine = line;
                e.EndUtc = Time(name, parameters, value, line);
                break;
            case "DURATION":
                e.HasDuration = true;
                if (!IsDuration(value)) Add(line, $"found DURATION '{Short(value)}'; expected for example PT2H30M or P3D");
                break;
            case "SEQUENCE":
                if (!int.TryParse(value.Trim(), NumberStyles.None, CultureInfo.InvariantCulture, out _)) Add(line, $"found SEQUENCE '{Short(value)}'; expected a whole number from 0 up");
                break;
            case "LAST-MODIFIED":
                Time(name, parameters, value, line);
                break;
            case "STATUS":
                if (value.Trim().ToUpperInvariant() is not ("TENTATIVE" or "CONFIRMED" or "CANCELLED")) Add(line, $"found STATUS '{Short(value)}'; expected TENTATIVE, CONFIRMED or CANCELLED");
                break;
            case ActivityFile.ExpectsProperty:
                foreach (var word in value.Split(',', StringSplitOptions.RemoveEmptyEntries))
                    if (ActivityTopics.Find(word) is null) Add(line, $"found the topic '{Short(word)}'; expected {ActivityTopics.Words}");
                break;
            case "RRULE":
                if (!value.Contains("FREQ=", StringComparison.OrdinalIgnoreCase)) Add(line, $"found RRULE '{Short(value)}'; expected FREQ= and, where it ends, COUNT= or UNTIL=");
                break;
        }
    }

    private static bool IsDuration(string value)
    {
        try { return Duration.Parse(value.Trim()) is { Sign: >= 0 }; }
        catch (FormatException) { return false; }
    }

    private DateTime? Time(string name, string[] parameters, string value, int line)
    {
        var formats = new[] { "yyyyMMdd", "yyyyMMdd'T'HHmmss", "yyyyMMdd'T'HHmmss'Z'" };
        if (!DateTime.TryParseExact(value.Trim(), formats, CultureInfo.InvariantCulture, DateTimeStyles.None, out var time))
        {
            Add(line, $"found {name} '{Short(value)}'; expected 20310301T120000Z, 20310301T120000 with a TZID, or the date 20310301");
            return null;
        }
        var zone = parameters.FirstOrDefault(p => p.StartsWith("TZID=", StringComparison.OrdinalIgnoreCase))?[5..].Trim('"');
        if (zone is null || value.Trim().EndsWith('Z')) return DateTime.SpecifyKind(time, DateTimeKind.Utc);
        try
        {
            return new CalDateTime(time, zone).AsUtc;
        }
        catch (ArgumentException)
        {
            Add(line, $"found the time zone '{Short(zone)}'; expected a name of the IANA time zone database such as Europe/Oslo, or times in UTC");
            return null;
        }
    }

    private static string Short(string text) => text.Length <= 60 ? text : text[..60] + "…";

    private void Add(int line, string message) => _errors.Add(new(line, message));

    private sealed class Event(int line)
    {
        public int Line { get; } = line;
        public bool HasUid { get; set; }
        public bool HasStart { get; set; }
        public bool HasDuration { get; set; }
        public DateTime? StartUtc { get; set; }
        public DateTime? EndUtc { get; set; }
        public int EndLine { get; set; }
    }
}
