using System.Globalization;

namespace Phasekeeper.Web.Shared.Numbers;

/// <summary>Numbers as people read them: a true minus sign, an en dash where there is none.</summary>
public static class NumberText
{
    /// <summary>With a fixed number of decimals.</summary>
    public static string Fixed(double? value, int decimals) =>
        value is { } number && double.IsFinite(number) ? Minus(number.ToString("F" + decimals.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture)) : "–";

    /// <summary>With up to so many significant digits, without needless zeros.</summary>
    public static string Significant(double? value, int digits = 4) =>
        value is { } number && double.IsFinite(number) ? Minus(number.ToString("G" + digits.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture)) : "–";

    /// <summary>Whole numbers with a thin space every three digits.</summary>
    public static string Whole(long value) => Minus(value.ToString("#,0", CultureInfo.InvariantCulture)).Replace(',', '\u202f');

    /// <summary>Value with its unit; a ratio or count (unit "1" or none) alone.</summary>
    public static string WithUnit(double? value, string? unit, int digits = 4)
    {
        var text = Significant(value, digits);
        return text == "–" || UnitText.Of(unit) is not { } shown ? text : $"{text} {shown}";
    }

    /// <summary>Bytes in B, kB, MB, GB (powers of 1000).</summary>
    public static string Bytes(long bytes) => bytes switch
    {
        < 1000 => $"{bytes} B",
        < 1_000_000 => string.Create(CultureInfo.InvariantCulture, $"{bytes / 1e3:0.#} kB"),
        < 1_000_000_000 => string.Create(CultureInfo.InvariantCulture, $"{bytes / 1e6:0.#} MB"),
        _ => string.Create(CultureInfo.InvariantCulture, $"{bytes / 1e9:0.##} GB"),
    };

    private static string Minus(string text) => text.Replace('-', '−');
}
