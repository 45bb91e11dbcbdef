using System.Globalization;

namespace Phasekeeper.Web.Shared.Times;

/// <summary>Durations in one or two units, as people read them.</summary>
public static class DurationText
{
    /// <summary>12 s, 4 min, 3 h 20 min, 5 d 4 h; a minus sign in front of negative ones.</summary>
    public static string Short(double seconds)
    {
        if (!double.IsFinite(seconds)) return "–";
        var sign = seconds < 0 ? "−" : "";
        var s = Math.Abs(seconds);
        var text = s switch
        {
            < 10 => s.ToString("0.#", CultureInfo.InvariantCulture) + " s",
            < 119.5 => s.ToString("0", CultureInfo.InvariantCulture) + " s",
            < 7200 => (s / 60).ToString("0", CultureInfo.InvariantCulture) + " min",
            < 172_800 => Two((long)(s / 60), 60, "h", "min"),
            _ => Two((long)(s / 3600), 24, "d", "h"),
        };
        return sign + text;
    }

    private static string Two(long smaller, long factor, string bigUnit, string smallUnit) =>
        string.Create(CultureInfo.InvariantCulture, $"{smaller / factor} {bigUnit} {smaller % factor} {smallUnit}");
}
