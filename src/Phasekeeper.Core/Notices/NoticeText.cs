using System.Globalization;
using System.Net;
using System.Text;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Notices;

/// <summary>A flag as a notice tells of it.</summary>
/// <param name="Id">Id.</param>
/// <param name="Severity">Severity now.</param>
/// <param name="State">State now, as shown.</param>
/// <param name="Message">Its sentence.</param>
/// <param name="About">What it is about.</param>
/// <param name="Value">Value that went furthest; null when there is none.</param>
/// <param name="Limit">Limit that it left; null when there is none.</param>
/// <param name="Unit">Unit of both.</param>
/// <param name="From">Begin of its stretch, mission time.</param>
/// <param name="FirstOrbit">First orbit; null when there is none.</param>
/// <param name="LastOrbit">Last orbit.</param>
/// <param name="Holder">Who has it; null = nobody.</param>
public sealed record NoticeFlag(string Id, FlagSeverity Severity, string State, string Message, string About, double? Value, double? Limit, string Unit, Instant From, int? FirstOrbit, int? LastOrbit, string? Holder);

/// <summary>A message in words.</summary>
/// <param name="Subject">One line.</param>
/// <param name="Text">Plain text.</param>
/// <param name="Html">The same as HTML.</param>
public sealed record NoticeText(string Subject, string Text, string Html)
{
    /// <summary>Stands at the end of every message.</summary>
    public const string Advice = "This advises only; the mission's flight rules come first.";

    /// <summary>Longest subject, characters (chosen: what mail programs show).</summary>
    public const int LongestSubject = 150;

    /// <summary>Most events that a message spells out (chosen: a page of reading; the rest is counted, and behind the link).</summary>
    public const int MostTold = 40;

    /// <summary>Writes a message.</summary>
    /// <param name="notice">What it tells.</param>
    /// <param name="mission">Name of the spacecraft.</param>
    /// <param name="baseAddress">Address of this installation, without a slash at the end; null = not configured, so that no links are given.</param>
    /// <param name="flagOf">A flag by id; null when it is not known.</param>
    public static NoticeText Of(PlannedNotice notice, string mission, string? baseAddress, Func<string, NoticeFlag?> flagOf)
    {
        ArgumentNullException.ThrowIfNull(notice);
        ArgumentNullException.ThrowIfNull(flagOf);
        var told = notice.Items.Take(MostTold).Select(i => (i.Event, Flag: flagOf(i.Event.Flag))).ToArray();
        var (text, html) = (new StringBuilder(), new StringBuilder("<!DOCTYPE html><html lang=\"en\"><body>"));
        Paragraph(Opening(notice, mission));
        foreach (var (what, flag) in told)
        {
            var lines = Lines(what, flag).ToArray();
            text.Append(CultureInfo.InvariantCulture, $"{string.Join('\n', lines)}\n");
            html.Append(CultureInfo.InvariantCulture, $"<p><strong>{Encode(lines[0])}</strong>{string.Concat(lines.Skip(1).Select(l => "<br>" + Encode(l)))}");
            if (baseAddress is not null)
            {
                var link = $"{baseAddress}/flags/{Uri.EscapeDataString(what.Flag)}";
                text.Append(CultureInfo.InvariantCulture, $"{link}\n");
                html.Append(CultureInfo.InvariantCulture, $"<br><a href=\"{Encode(link)}\">Open the flag</a>");
            }
            text.Append('\n');
            html.Append("</p>");
        }
        if (notice.Items.Count > told.Length) Paragraph($"And {notice.Items.Count - told.Length} more; the page Flags shows all.");
        Paragraph(Advice);
        Paragraph(baseAddress is null ? "You get this since you asked for it on your page Account." : $"You get this since you asked for it: {baseAddress}/account/notices");
        html.Append("</body></html>");
        return new(OneLine(SubjectOf(notice, mission, told[0].Flag), LongestSubject), text.ToString(), html.ToString());

        void Paragraph(string sentence)
        {
            text.Append(CultureInfo.InvariantCulture, $"{sentence}\n\n");
            html.Append(CultureInfo.InvariantCulture, $"<p>{Encode(sentence)}</p>");
        }
    }

    /// <summary>Text in one line, without control characters, cut where it is too long: nothing in it can begin another header.</summary>
    public static string OneLine(string text, int longest)
    {
        ArgumentNullException.ThrowIfNull(text);
        var plain = string.Join(' ', new string([.. text.Select(c => char.IsControl(c) || c is '\u2028' or '\u2029' ? ' ' : c)]).Split(' ', StringSplitOptions.RemoveEmptyEntries));
        return plain.Length <= longest ? plain : plain[..(longest - 1)] + "…";
    }

    private static string SubjectOf(PlannedNotice notice, string mission, NoticeFlag? first)
    {
        var flags = notice.Items.Select(i => i.Event.Flag).Distinct(StringComparer.Ordinal).Count();
        var worst = Word(notice.Items.Max(i => i.Event.Severity));
        return notice.Form switch
        {
            NoticeForm.Digest => $"{mission}: digest, {FlagText.Count(flags, "flag")}, worst {worst}",
            NoticeForm.Held => $"{mission}: in your quiet hours, {FlagText.Count(flags, "flag")}, worst {worst}",
            NoticeForm.Many => $"{mission}: {FlagText.Count(flags, "flag")}, worst {worst}",
            _ => $"{mission}: {worst}, {Happened(notice.Items[0].Event)}: {first?.Message ?? notice.Items[0].Event.Flag}{(flags > 1 ? $" (and {flags - 1} more of this likely cause)" : "")}",
        };
    }

    private static string Opening(PlannedNotice notice, string mission) => notice.Form switch
    {
        NoticeForm.Digest => $"What happened to flags of {mission} since the last digest.",
        NoticeForm.Held => $"What happened to flags of {mission} in your quiet hours.",
        NoticeForm.Many => $"Much happened to flags of {mission} at once; here it is together.",
        _ when notice.Items.Select(i => i.Event.Flag).Distinct(StringComparer.Ordinal).Count() > 1 => $"Several flags of {mission}, of one likely cause.",
        _ => $"A flag of {mission}.",
    };

    private static IEnumerable<string> Lines(NoticeEvent what, NoticeFlag? flag)
    {
        yield return $"{Capital(Word(what.Severity))}, {Happened(what)}{(what.Actor is "rules" or "" ? "" : $" by {OneLine(what.Actor, 100)}")}: {OneLine(flag?.Message ?? what.Flag, 1000)}";
        if (flag is not null)
        {
            yield return $"Where: {OneLine(flag.About, 200)}{(flag is { FirstOrbit: { } first, LastOrbit: { } last } ? ", " + FlagText.Orbits(first, last) : "")}, from {FlagText.Moment(flag.From)} (mission time)";
            if (flag.Value is { } value && double.IsFinite(value))
                yield return $"Value: {FlagText.WithUnit(value, flag.Unit)}{(flag.Limit is { } limit && double.IsFinite(limit) ? $"; limit: {FlagText.WithUnit(limit, flag.Unit)}" : "")}";
            yield return $"Now: {flag.State}, {(flag.Holder is { } holder ? "with " + OneLine(holder, 100) : "nobody has it")}";
        }
        if (what.Note.Length > 0) yield return $"Note: {OneLine(what.Note, 1000)}";
        yield return $"When: {FlagText.Moment(what.Time)} (clock)";
    }

    private static string Happened(NoticeEvent what) => what.Kind switch
    {
        NoticeKinds.Raised => "raised",
        NoticeKinds.Worsened => "more severe",
        NoticeKinds.Reopened => "reopened",
        NoticeKinds.Mention => "concerns you",
        NoticeKinds.Escalation => "nobody has taken it",
        _ => "moved on",
    };

    private static string Word(FlagSeverity severity) => severity.ToString().ToLowerInvariant();

    private static string Capital(string word) => char.ToUpperInvariant(word[0]) + word[1..];

    private static string Encode(string text) => WebUtility.HtmlEncode(text);
}
