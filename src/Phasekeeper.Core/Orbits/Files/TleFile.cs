using System.Globalization;
using Phasekeeper.Core.Orbits.Sgp4;
using Phasekeeper.Core.Text;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits.Files;

/// <summary>
/// Reads two-line element sets: one or several in a file, with or without a name line before each. Columns as in the format's usual description
/// (Hoots and Roehrich 1980, Spacetrack Report 3; CelesTrak, NORAD Two-Line Element Set Format). Catalogue numbers above 99999 in
/// the Alpha-5 form are read. Epoch years 57–99 are 1957–1999, 00–56 are 2000–2056.
/// </summary>
public static class TleFile
{
    internal const string Line1Columns = "1 NNNNNC NNNNNAAA NNNNN.NNNNNNNN +.NNNNNNNN +NNNNN-N +NNNNN-N N NNNNN";
    internal const string Line2Columns = "2 NNNNN NNN.NNNN NNN.NNNN NNNNNNN NNN.NNNN NNN.NNNN NN.NNNNNNNNNNNNNN";

    /// <summary>
    /// Reads the sets of a satellite. <paramref name="catalogNumber"/> 0 = the file must hold one satellite only; otherwise other satellites are passed over.
    /// </summary>
    public static ReadResult<MeanElementsEphemeris> Read(string file, string text, int catalogNumber = 0)
    {
        var errors = new FileErrors(file);
        var sets = new List<MeanElements>();
        (int Number, string Text)? first = null;
        var number = 0;
        foreach (var raw in text.TrimStart('\uFEFF').EnumerateLines())
        {
            number++;
            var line = raw.TrimEnd().ToString();
            if (line.StartsWith("1 ", StringComparison.Ordinal))
            {
                if (first is { } lone) errors.Add(lone.Number, "a line 1 without its line 2", $"a line 2 below it: {Line2Columns}");
                first = (number, line);
            }
            else if (line.StartsWith("2 ", StringComparison.Ordinal))
            {
                if (first is { } one) ReadSet(errors, one.Number, one.Text, number, line, sets);
                else errors.Add(number, "a line 2 without its line 1", $"a line 1 above it: {Line1Columns}");
                first = null;
            }
            else if (line.Length > 0 && first is { } open)
            {
                errors.Add(number, $"'{line}'", $"line 2 of the set begun in line {open.Number}: {Line2Columns}");
                first = null;
            }
        }
        if (first is { } last) errors.Add(last.Number, "a line 1 without its line 2", $"a line 2 below it: {Line2Columns}");
        if (sets.Count == 0 && errors.Count == 0)
            errors.Add(0, "no element set", $"two lines:\n  {Line1Columns}\n  {Line2Columns}");
        return MeanElementsEphemeris.Select(errors, sets, catalogNumber);
    }

    private static void ReadSet(FileErrors errors, int number1, string line1, int number2, string line2, List<MeanElements> sets)
    {
        var before = errors.Count;
        CheckLine(errors, number1, line1, Line1Columns);
        CheckLine(errors, number2, line2, Line2Columns);
        if (errors.Count > before) return;

        var one = new Columns(errors, number1, line1, Line1Columns);
        var two = new Columns(errors, number2, line2, Line2Columns);
        var catalog = one.CatalogNumber();
        if (two.CatalogNumber() is var other && other != catalog)
            errors.Add(number2, $"catalogue number {other}", $"{catalog} as in line {number1}");
        var epoch = one.Epoch();
        var bStar = one.ImpliedPoint(54, "B* in columns 54–61");
        var inclination = two.Number(9, 16, "inclination", 0, 180);
        var node = two.Number(18, 25, "right ascension of the node", 0, 360);
        var eccentricity = two.Fraction(27, 33, "eccentricity");
        var perigee = two.Number(35, 42, "argument of perigee", 0, 360);
        var anomaly = two.Number(44, 51, "mean anomaly", 0, 360);
        var motion = two.Number(53, 63, "mean motion", 1e-3, 20);
        var revolution = two.Whole(64, 68, "revolution number");
        if (errors.Count > before) return;
        sets.Add(new MeanElements
        {
            CatalogNumber = catalog,
            Epoch = epoch,
            BStarPerEarthRadius = bStar,
            InclinationDeg = inclination,
            AscendingNodeDeg = node,
            Eccentricity = eccentricity,
            ArgumentOfPerigeeDeg = perigee,
            MeanAnomalyDeg = anomaly,
            MeanMotionRevPerDay = motion,
            RevolutionAtEpoch = revolution,
        });
    }

    private static void CheckLine(FileErrors errors, int number, string line, string columns)
    {
        if (line.Length < 69)
        {
            errors.Add(number, $"{line.Length} columns: '{line}'", $"69: {columns}");
            return;
        }
        // Modulo-10 sum of columns 1–68: digits count themselves, a minus sign counts 1.
        var sum = 0;
        foreach (var c in line.AsSpan(0, 68)) sum += char.IsAsciiDigit(c) ? c - '0' : c == '-' ? 1 : 0;
        if (line[68] - '0' != sum % 10)
            errors.Add(number, $"checksum '{line[68]}' in column 69", $"{sum % 10}, the sum of the digits (a minus sign counts 1) modulo 10: the line was changed or cut");
    }

    /// <summary>Fields of a line by their columns, counted from 1 as the format is described.</summary>
    private readonly struct Columns(FileErrors errors, int number, string line, string layout)
    {
        private readonly string _line = line;

        private string At(int from, int to) => _line[(from - 1)..to];

        private void Fail(string found, string what) => errors.Add(number, $"'{found}'", $"{what}\n  expected columns: {layout}\n  the line:         {_line}");

        public int CatalogNumber()
        {
            var text = At(3, 7);
            // Alpha-5: a letter (without I and O) stands for 10 to 33 in the first place.
            var letter = "ABCDEFGHJKLMNPQRSTUVWXYZ".IndexOf(text[0], StringComparison.Ordinal);
            if (letter >= 0 && int.TryParse(text.AsSpan(1), NumberStyles.None, CultureInfo.InvariantCulture, out var rest)) return (letter + 10) * 10000 + rest;
            if (int.TryParse(text.Trim(), NumberStyles.None, CultureInfo.InvariantCulture, out var value)) return value;
            Fail(text, "catalogue number in columns 3–7");
            return 0;
        }

        public Instant Epoch()
        {
            string year = At(19, 20), day = At(21, 23), point = At(24, 24), fraction = At(25, 32);
            if (int.TryParse(year, NumberStyles.AllowLeadingWhite, CultureInfo.InvariantCulture, out var yy)
                && int.TryParse(day, NumberStyles.AllowLeadingWhite, CultureInfo.InvariantCulture, out var ddd) && ddd is >= 1 and <= 366
                && point == "." && long.TryParse(fraction.TrimEnd().PadRight(8, '0'), NumberStyles.None, CultureInfo.InvariantCulture, out var e8))
            {
                var start = new DateOnly(yy < 57 ? 2000 + yy : 1900 + yy, 1, 1).DayNumber - new DateOnly(1970, 1, 1).DayNumber;
                // 1e-8 day is 864,000 ns: exact.
                return Instant.FromUnixDay(start + ddd - 1, e8 * 864_000);
            }
            Fail(At(19, 32), "epoch in columns 19–32: year, day of year 001–366 and its fraction");
            return default;
        }

        public double Number(int from, int to, string name, double min, double max)
        {
            var text = At(from, to);
            if (KvnLine.TryNumber(text.Trim(), out var value) && value >= min && value <= max) return value;
            Fail(text, $"{name} in columns {from}–{to}, {min.ToString(CultureInfo.InvariantCulture)} to {max.ToString(CultureInfo.InvariantCulture)}");
            return 0;
        }

        public double Fraction(int from, int to, string name)
        {
            var text = At(from, to);
            if (text.Trim().All(char.IsAsciiDigit) && KvnLine.TryNumber("0." + text.Trim().PadLeft(7, '0'), out var value)) return value;
            Fail(text, $"{name} in columns {from}–{to}, seven digits after an implied point");
            return 0;
        }

        public int Whole(int from, int to, string name)
        {
            var text = At(from, to);
            if (int.TryParse(text.Trim(), NumberStyles.None, CultureInfo.InvariantCulture, out var value)) return value;
            Fail(text, $"{name} in columns {from}–{to}");
            return 0;
        }

        /// <summary>+NNNNN-N: a mantissa behind an implied point and a power of ten.</summary>
        public double ImpliedPoint(int from, string name)
        {
            var text = At(from, from + 7);
            var sign = text[0] == '-' ? -1 : 1;
            var mantissa = text[1..6].Trim();
            if (text[0] is ' ' or '+' or '-' && mantissa.All(char.IsAsciiDigit)
                && KvnLine.TryNumber($"0.{(mantissa.Length == 0 ? "0" : mantissa)}", out var value)
                && int.TryParse(text.AsSpan(6, 2), NumberStyles.AllowLeadingSign | NumberStyles.AllowLeadingWhite, CultureInfo.InvariantCulture, out var power))
                return sign * value * Math.Pow(10, power);
            Fail(text, $"{name} as +NNNNN-N");
            return 0;
        }
    }
}
