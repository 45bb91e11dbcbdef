using System.Globalization;
using System.Text;

namespace Phasekeeper.Web.Features.People;

/// <summary>
/// Names that stand beside decisions: two that look the same must not be two people. So: one space between words, no characters that show nothing, no accents apart from their letters and no letters in
/// another dress (full width, ligatures, mathematical: Unicode could write these in one way, but the program runs without its tables, in invariant globalization mode), and not letters of several scripts
/// that look alike. A name wholly in another script can still resemble one; who gives names sees it in the list of people.
/// </summary>
public static class PersonNames
{
    /// <summary>Longest name, characters.</summary>
    public const int Longest = 100;

    private static readonly string[] Reserved = ["system", "rules", "profile", "local", "bootstrap"];
    private const string DemoPrefix = "demo ";

    /// <summary>A name as it is written here; what cannot be a name comes back as it is, without outer spaces.</summary>
    public static string Clean(string? name) =>
        string.Join(' ', string.Concat((name ?? "").Select(c => char.GetUnicodeCategory(c) == UnicodeCategory.SpaceSeparator ? ' ' : c)).Trim().Split(' ', StringSplitOptions.RemoveEmptyEntries));

    /// <summary>A name as it may stand beside decisions.</summary>
    /// <exception cref="PeopleException">It may not.</exception>
    public static string Checked(string? name)
    {
        var clean = Clean(name);
        return clean.Length is 0 or > Longest || clean.EnumerateRunes().Any(rune => ShowsNothing(rune) || IsDisguise(rune)) || MixesScripts(clean)
            || Reserved.Contains(clean, StringComparer.OrdinalIgnoreCase) || (clean + " ").StartsWith(DemoPrefix, StringComparison.OrdinalIgnoreCase)
            ? throw PeopleTexts.BadName(clean, Longest) : clean;
    }

    private static bool ShowsNothing(Rune rune) => rune == Rune.ReplacementChar || Rune.GetUnicodeCategory(rune) is UnicodeCategory.Control or UnicodeCategory.Format or UnicodeCategory.PrivateUse
        or UnicodeCategory.OtherNotAssigned or UnicodeCategory.LineSeparator or UnicodeCategory.ParagraphSeparator;

    // Accents that stand apart (the precomposed letter is the one way), and blocks of letters that are others in another dress. Blocks by Unicode's Blocks.txt.
    private static bool IsDisguise(Rune rune) => rune.Value is (>= 0x300 and < 0x370) or (>= 0x1AB0 and < 0x1B00) or (>= 0x1DC0 and < 0x1E00) or (>= 0x20D0 and < 0x2100) or (>= 0xFE20 and < 0xFE30)
        or (>= 0x2070 and < 0x20A0) or (>= 0x2100 and < 0x2190) or (>= 0x2460 and < 0x2500) or (>= 0xFB00 and < 0xFB50) or (>= 0xFF00 and < 0xFFF0) or (>= 0x1D400 and < 0x1D800) or (>= 0x1F100 and < 0x1F200);

    // Latin, Greek and Cyrillic have letters of the same shape; nobody's name mixes them (Unicode TS 39, section 5, restriction level "highly restrictive"). Blocks by Unicode's Blocks.txt.
    private static bool MixesScripts(string name)
    {
        var scripts = name.EnumerateRunes().Where(Rune.IsLetter).Select(rune => rune.Value switch
        {
            < 0x250 or (>= 0x1E00 and < 0x1F00) or (>= 0x2C60 and < 0x2C80) or (>= 0xA720 and < 0xA800) => "Latin",
            (>= 0x370 and < 0x400) or (>= 0x1F00 and < 0x2000) => "Greek",
            (>= 0x400 and < 0x530) or (>= 0x1C80 and < 0x1C90) or (>= 0x2DE0 and < 0x2E00) or (>= 0xA640 and < 0xA6A0) => "Cyrillic",
            _ => null,
        });
        return scripts.OfType<string>().Distinct().Count() > 1;
    }
}
