using System.Globalization;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Flags;

/// <summary>Numbers and orbit ranges as the messages of flags write them.</summary>
public static class FlagText
{
    /// <summary>Up to four significant digits, invariant culture; "not known" for NaN.</summary>
    public static string Number(double value)
    {
        if (!double.IsFinite(value)) return "not known";
        var size = Math.Abs(value);
        if (size is 0) return "0";
        if (size is >= 1e7 or < 1e-4) return value.ToString("0.###e+0", CultureInfo.InvariantCulture);
        var decimals = Math.Clamp(3 - (int)Math.Floor(Math.Log10(size)), 0, 7);
        var text = Math.Round(value, decimals).ToString("F" + decimals.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);
        return decimals > 0 ? text.TrimEnd('0').TrimEnd('.') : text;
    }

    /// <summary>Number with its unit; nothing behind it for the unit "1".</summary>
    public static string WithUnit(double value, string unit) => unit is "1" or "" ? Number(value) : unit == "%" ? Number(value) + " %" : $"{Number(value)} {unit}";

    /// <summary>"orbit 12" or "orbits 12 to 15".</summary>
    public static string Orbits(int first, int last) => first == last
        ? string.Create(CultureInfo.InvariantCulture, $"orbit {first}")
        : string.Create(CultureInfo.InvariantCulture, $"orbits {first} to {last}");

    /// <summary>"2031-05-09 13:15:50 UTC", to the second.</summary>
    public static string Moment(Instant time)
    {
        var iso = time.ToString();
        return $"{iso[..10]} {iso[11..19]} UTC";
    }

    /// <summary>"1 packet", "3 packets".</summary>
    public static string Count(long n, string noun) =>
        string.Create(CultureInfo.InvariantCulture, $"{n} {noun}{(n == 1 ? "" : "s")}");

    /// <summary>A duration in the unit that reads best.</summary>
    public static string Duration(double seconds) => Math.Abs(seconds) switch
    {
        < 120 => $"{Number(seconds)} s",
        < 7200 => $"{Number(seconds / 60)} min",
        < 172800 => $"{Number(seconds / 3600)} h",
        _ => $"{Number(seconds / 86400)} days",
    };
}
