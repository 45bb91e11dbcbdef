using System.Globalization;

namespace Phasekeeper.Web.Shared.Numbers;

/// <summary>Numbers as people read them, by significant figures that are kept.</summary>
public static class FigureText
{
    /// <summary>So many significant figures, without an exponent for everyday sizes; a dash for a missing number.</summary>
    public static string Of(double value, int figures = 3)
    {
        if (!double.IsFinite(value)) return "–";
        if (value == 0) return "0";
        var size = (int)Math.Floor(Math.Log10(Math.Abs(value)));
        var text = size < -4 || size > 7
            ? value.ToString("0." + new string('#', figures - 1) + "e0", CultureInfo.InvariantCulture)
            : value.ToString("F" + Math.Clamp(figures - 1 - size, 0, 8), CultureInfo.InvariantCulture);
        return text.Replace('-', '−');
    }

    /// <summary>As <see cref="Of"/>, without the zeros that end a decimal: a value as coarse as it was sent.</summary>
    public static string Short(double value, int figures = 3)
    {
        var text = Of(value, figures);
        return text.Contains('.', StringComparison.Ordinal) && !text.Contains('e', StringComparison.Ordinal) ? text.TrimEnd('0').TrimEnd('.') : text;
    }
}
