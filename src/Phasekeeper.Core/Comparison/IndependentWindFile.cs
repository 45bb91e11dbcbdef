using System.Globalization;
using Phasekeeper.Core.Text;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Comparison;

/// <summary>Content of a file of independent winds.</summary>
/// <param name="Winds">Ordered by time, source, latitude, longitude, altitude; at least one.</param>
public sealed record IndependentWinds(IReadOnlyList<IndependentWind> Winds);

/// <summary>
/// Reads a table of winds that others measured or modelled: CSV, comma separated, UTF-8, decimal point, no quotes. Lines that begin with # and empty lines are passed over. The first other line names the
/// columns, in any order: <c>time,latitudeDeg,longitudeDeg,altitudeKm,eastwardMs,northwardMs,eastwardSigmaMs,northwardSigmaMs</c> and, if wanted, <c>source</c>. Times are ISO 8601 UTC; altitude is
/// over WGS 84; eastward and northward are positive; σ of 0 means "not stated". All mistakes are reported together, up to <see cref="MostErrors"/>.
/// </summary>
public static class IndependentWindFile
{
    /// <summary>Columns that must be there.</summary>
    public static readonly IReadOnlyList<string> Columns = ["time", "latitudeDeg", "longitudeDeg", "altitudeKm", "eastwardMs", "northwardMs", "eastwardSigmaMs", "northwardSigmaMs"];

    /// <summary>Column that may be there.</summary>
    public const string SourceColumn = "source";

    /// <summary>Mistakes that are told; a file with the wrong separator would fill pages.</summary>
    public const int MostErrors = 50;

    /// <summary>Largest number of winds (chosen: a month of a global model at 3 h, 5° and 10 heights is 5 million; a thinned one fits).</summary>
    public const int MostWinds = 2_000_000;

    private const double LargestWindMs = 1000, LowestKm = 0, HighestKm = 1000;

    /// <summary>Reads a file.</summary>
    public static ReadResult<IndependentWinds> Read(string file, string text)
    {
        var errors = new FileErrors(file);
        var winds = new List<(IndependentWind Wind, int Line)>();
        int[]? columns = null;
        int number = 0, width = 0, suppressed = 0;
        foreach (var raw in text.TrimStart('\uFEFF').EnumerateLines())
        {
            number++;
            var line = raw.Trim();
            if (line.IsEmpty || line[0] == '#') continue;
            var fields = line.ToString().Split(',', StringSplitOptions.TrimEntries);
            if (columns is null)
            {
                (columns, width) = (Header(errors, number, fields), fields.Length);
                if (columns is null) return errors.Result(() => new IndependentWinds([]));
                continue;
            }
            if (errors.Count >= MostErrors)
            {
                suppressed++;
                continue;
            }
            if (fields.Length != width) errors.Add(number, $"{fields.Length} fields", $"{width} fields, as many as the line of column names has");
            else if (Row(errors, number, fields, columns) is { } wind)
            {
                if (winds.Count == MostWinds)
                {
                    errors.Add(number, $"more than {MostWinds} winds", "fewer: thin the set or split it into several");
                    break;
                }
                winds.Add((wind, number));
            }
        }
        if (columns is null) errors.Add(0, "no line of column names", string.Join(',', Columns));
        else if (winds.Count == 0 && errors.Count == 0) errors.Add(0, "no winds below the column names", "at least one line of values");
        if (suppressed > 0) errors.Add(number, $"{suppressed} more lines that were not checked after {MostErrors} mistakes", "a file without the mistakes above");
        if (errors.Count > 0) return errors.Result(() => new IndependentWinds([]));
        (IndependentWind Wind, int Line)[] ordered = [.. winds.OrderBy(w => w.Wind.Time.TaiNanoseconds).ThenBy(w => w.Wind.Source, StringComparer.Ordinal).ThenBy(w => w.Wind.LatitudeDeg)
            .ThenBy(w => w.Wind.LongitudeDeg).ThenBy(w => w.Wind.AltitudeKm).ThenBy(w => w.Line)];
        for (var i = 1; i < ordered.Length && errors.Count < MostErrors; i++)
            if (IsSamePlace(ordered[i - 1].Wind, ordered[i].Wind))
                errors.Add(ordered[i].Line, $"a second wind of the time and place of line {ordered[i - 1].Line}", "one wind for each time, place and source");
        return errors.Result(() => new IndependentWinds([.. ordered.Select(o => o.Wind)]));
    }

    /// <summary>True when a text begins as such a file does: intake tells files by it.</summary>
    public static bool Recognizes(string head)
    {
        foreach (var raw in head.TrimStart('\uFEFF').EnumerateLines())
        {
            var line = raw.Trim();
            if (line.IsEmpty || line[0] == '#') continue;
            var names = line.ToString().Split(',', StringSplitOptions.TrimEntries);
            return names.Contains("time") && names.Contains("eastwardMs") && names.Contains("northwardMs");
        }
        return false;
    }

    /// <summary>Writes winds in this format; numbers keep three decimals (positions five).</summary>
    public static string Write(IEnumerable<IndependentWind> winds, string comment)
    {
        var text = new System.Text.StringBuilder();
        foreach (var line in comment.Split('\n')) text.Append("# ").Append(line).Append('\n');
        text.AppendJoin(',', Columns).Append(',').Append(SourceColumn).Append('\n');
        foreach (var w in winds)
            text.Append(CultureInfo.InvariantCulture, $"{w.Time},{w.LatitudeDeg:0.#####},{w.LongitudeDeg:0.#####},{w.AltitudeKm:0.###},{w.EastwardMs:0.###},{w.NorthwardMs:0.###},{w.EastwardSigmaMs:0.###},{w.NorthwardSigmaMs:0.###},{w.Source}\n");
        return text.ToString();
    }

    private static bool IsSamePlace(in IndependentWind a, in IndependentWind b) =>
        a.Time == b.Time && a.Source == b.Source && a.LatitudeDeg == b.LatitudeDeg && a.LongitudeDeg == b.LongitudeDeg && a.AltitudeKm == b.AltitudeKm;

    private static int[]? Header(FileErrors errors, int line, string[] names)
    {
        var before = errors.Count;
        foreach (var name in Columns.Where(c => !names.Contains(c))) errors.Add(line, $"no column {name}", $"the columns {string.Join(',', Columns)}");
        foreach (var name in names.Where(n => !Columns.Contains(n) && n != SourceColumn).Distinct()) errors.Add(line, $"the column '{name}'", $"one of {string.Join(',', Columns)},{SourceColumn}");
        foreach (var name in names.GroupBy(n => n).Where(g => g.Count() > 1)) errors.Add(line, $"the column '{name.Key}' {name.Count()} times", "each column once");
        return errors.Count > before ? null : [.. Columns.Append(SourceColumn).Select(c => Array.IndexOf(names, c))];
    }

    private static IndependentWind? Row(FileErrors errors, int line, string[] fields, int[] columns)
    {
        var before = errors.Count;
        // Without its Z a time may be local: taken for UTC it would be silently wrong.
        var time = Instant.MinValue;
        if (!fields[columns[0]].TrimEnd().EndsWith('Z') || !Instant.TryParseUtc(fields[columns[0]], out time)) errors.Add(line, $"time '{fields[columns[0]]}'", "ISO 8601 UTC with its Z, such as 2031-04-12T03:15:00Z");
        double Number(int column, double least, double most, string unit)
        {
            var text = fields[columns[column]];
            if (double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out var value) && value >= least && value <= most) return value;
            errors.Add(line, $"{Columns[column]} '{text}'", string.Create(CultureInfo.InvariantCulture, $"a number from {least} to {most} {unit}"));
            return 0;
        }
        double latitude = Number(1, -90, 90, "deg"), longitude = Number(2, -180, 360, "deg east"), altitude = Number(3, LowestKm, HighestKm, "km");
        double east = Number(4, -LargestWindMs, LargestWindMs, "m/s"), north = Number(5, -LargestWindMs, LargestWindMs, "m/s");
        double eastSigma = Number(6, 0, LargestWindMs, "m/s (0 = not stated)"), northSigma = Number(7, 0, LargestWindMs, "m/s (0 = not stated)");
        var source = columns[8] < 0 ? "" : fields[columns[8]];
        if (source.Length > 80) errors.Add(line, $"a source of {source.Length} characters", "at most 80");
        return errors.Count > before ? null : new(time, latitude, longitude >= 180 ? longitude - 360 : longitude, altitude, east, north, eastSigma, northSigma, source);
    }
}
