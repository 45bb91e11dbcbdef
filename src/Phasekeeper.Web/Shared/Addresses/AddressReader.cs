using System.Globalization;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Web.Shared.Addresses;

/// <summary>
/// Reads what a page's address asks for. An address is typed, shortened and sent on by people: what it says wrongly is told on the page with what is shown instead, and never ends the page.
/// Pages take all query parameters as text, since the framework ends the page where text is no number.
/// </summary>
public sealed class AddressReader
{
    // Chosen: enough to recognise what was typed.
    private const int LongestFound = 40;
    private readonly List<string> notes = [];

    /// <summary>Mistakes found so far, as sentences.</summary>
    public IReadOnlyList<string> Notes => notes;

    /// <summary>A whole number from <paramref name="least"/> to <paramref name="most"/>; null when absent or wrong.</summary>
    public long? Whole(string name, string? text, long least, long most, string instead)
    {
        if (string.IsNullOrEmpty(text)) return null;
        if (long.TryParse(text, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var value) && value >= least && value <= most) return value;
        Note(name, text, string.Create(CultureInfo.InvariantCulture, $"a whole number from {least} to {most}"), instead);
        return null;
    }

    /// <summary>The number of an orbit (or of a UTC day, for a mission without an orbit file) that can be one; null when absent or wrong.</summary>
    public int? Orbit(string? text, string instead) => (int?)Whole("orbit", text, -9_999_999, 9_999_999, instead);

    /// <summary>A number from <paramref name="least"/> to <paramref name="most"/>, in the unit that the parameter is in; null when absent or wrong.</summary>
    public double? Number(string name, string? text, double least, double most, string unit, string instead)
    {
        if (string.IsNullOrEmpty(text)) return null;
        if (double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out var value) && value >= least && value <= most) return value;
        Note(name, text, string.Create(CultureInfo.InvariantCulture, $"a number from {least} to {most} {unit}"), instead);
        return null;
    }

    /// <summary>One of some words; null when absent or wrong.</summary>
    public string? Word(string name, string? text, IEnumerable<string> known, string instead)
    {
        if (string.IsNullOrEmpty(text)) return null;
        string[] words = [.. known];
        if (words.Contains(text, StringComparer.Ordinal)) return text;
        Note(name, text, words.Length == 1 ? words[0] : "one of " + string.Join(", ", words), instead);
        return null;
    }

    /// <summary>A UTC day for which <paramref name="covers"/> holds; null when absent or wrong.</summary>
    public DateOnly? Day(string name, string? text, Func<DateOnly, bool> covers, string instead)
    {
        ArgumentNullException.ThrowIfNull(covers);
        if (string.IsNullOrEmpty(text)) return null;
        if (DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day) && covers(day)) return day;
        Note(name, text, "a UTC day of a mission, such as 2031-05-09", instead);
        return null;
    }

    /// <summary>A moment that a mission can have; null when absent or wrong.</summary>
    public Instant? Time(string name, string? text, string instead)
    {
        if (string.IsNullOrEmpty(text)) return null;
        // Pages look some way before and after a moment: the ends of what an instant can hold are none of a mission's.
        if (Instant.TryParseUtc(text, out var time) && time.UtcDate.Year is >= 1958 and < 2200) return time;
        Note(name, text, "a UTC time, such as 2031-05-09T06:00:00Z", instead);
        return null;
    }

    /// <summary>A stretch of time that was chosen in a plot ("from", "to"), as it stands in the address; nothing when either is wrong.</summary>
    public (string? From, string? To) Stretch(string? from, string? to)
    {
        const string instead = "The plots show the whole range";
        var (start, end) = (Time("from", from, instead), Time("to", to, instead));
        if (start < end) return (from, to);
        if (start is not null && end is not null) Note("to", to!, "a time after that of from", instead);
        return (null, null);
    }

    /// <summary>Notes a mistake.</summary>
    /// <param name="name">Parameter.</param>
    /// <param name="found">What it says.</param>
    /// <param name="expected">What it could say.</param>
    /// <param name="instead">What is shown instead: a sentence without its stop.</param>
    public void Note(string name, string found, string expected, string instead)
    {
        ArgumentNullException.ThrowIfNull(found);
        notes.Add($"The address says {name}={(found.Length > LongestFound ? found[..LongestFound] + "…" : found)}; expected {expected}. {instead}.");
    }
}
