using System.Text.RegularExpressions;
using Phasekeeper.Core.Time;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Shared.Numbers;

/// <summary>Units as they are shown: the one table of telemetry definitions' and trackers' words for them.</summary>
public static partial class UnitText
{
    /// <summary>Null where nothing is to be shown: ratios, counts.</summary>
    public static string? Of(string? unit) => unit switch
    {
        null or "" or "1" or "count" => null,
        "deg" => "°",
        "degC" or "celsius" or "Cel" => "°C",
        "degF" => "°F",
        "ohm" or "Ohm" => "Ω",
        "e-/s" => "e⁻/s",
        "e-" => "e⁻",
        _ => unit,
    };

    /// <summary>A sentence of the program as it is shown: units and minus signs as people write them ("-3 degC" becomes "−3 °C"), and machine times to the minute ("2031-05-09 10:06 UTC").</summary>
    public static string InSentence(string sentence) => MinusOfANumber().Replace(UnitOfANumber().Replace(
        MachineTime().Replace(sentence, time => Instant.TryParseUtc(time.Value, out var at) ? UtcText.DateAndMinute(at) + " UTC" : time.Value), unit => Of(unit.Value) ?? unit.Value), "−");

    [GeneratedRegex(@"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?Z")]
    private static partial Regex MachineTime();

    // A unit stands behind its number and a space; "deg" alone would touch words, and is written out by no rule.
    [GeneratedRegex(@"(?<=\d )(?:degC|degF|celsius|Cel|ohm|Ohm|e-/s)(?!\w)")]
    private static partial Regex UnitOfANumber();

    // A minus sign begins a number; a hyphen stands inside a word, a date or a range.
    [GeneratedRegex(@"(?<![\w\-])-(?=\d)")]
    private static partial Regex MinusOfANumber();
}
