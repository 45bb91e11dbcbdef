using System.Globalization;

namespace Phasekeeper.Core.Comparison;

/// <summary>Statistics of the pairs of one group.</summary>
/// <param name="Compared">What is compared.</param>
/// <param name="View">View id; empty for vectors.</param>
/// <param name="Line">Line id; empty = all lines.</param>
/// <param name="By">all | altitude | localTime.</param>
/// <param name="From">Lower end of the bin, km or h; NaN for all.</param>
/// <param name="To">Upper end.</param>
/// <param name="Summary">The statistics.</param>
public sealed record ComparisonGroup(ComparedWind Compared, string View, string Line, string By, double From, double To, ComparisonSummary Summary)
{
    /// <summary>The bin in words: "90–100 km", "03–06 h", "all".</summary>
    public string Bin => By switch
    {
        ComparisonGroups.ByAltitude => string.Create(CultureInfo.InvariantCulture, $"{From:0}–{To:0} km"),
        ComparisonGroups.ByLocalTime => string.Create(CultureInfo.InvariantCulture, $"{From:00}–{To:00} h"),
        _ => "all",
    };
}

/// <summary>The tables by which winds are judged: whole, by altitude, by local time; each for every view (along its line of sight) and for eastward and northward wind, line by line.</summary>
public static class ComparisonGroups
{
    /// <summary>No bins.</summary>
    public const string ByAll = "all";
    /// <summary>Bins of altitude.</summary>
    public const string ByAltitude = "altitude";
    /// <summary>Bins of local solar time.</summary>
    public const string ByLocalTime = "localTime";

    /// <summary>All ways to group.</summary>
    public static readonly IReadOnlyList<string> Ways = [ByAll, ByAltitude, ByLocalTime];

    private static readonly double[] AltitudeEdgesKm = [0, 80, 90, 100, 110, 125, 150, 200, 250, 300, 1000];
    private const double LocalTimeStepH = 3;

    /// <summary>Groups in the order of what is compared, view, line, bin; only those with pairs.</summary>
    public static IReadOnlyList<ComparisonGroup> Of(IEnumerable<ComparisonPair> pairs, string by)
    {
        var (index, edges) = by switch
        {
            ByAll => ((Func<ComparisonPair, int>)(_ => 0), new[] { double.NaN, double.NaN }),
            ByAltitude => (p => Math.Max(0, Array.FindLastIndex(AltitudeEdgesKm, e => p.AltitudeKm >= e)), AltitudeEdgesKm),
            ByLocalTime => (p => (int)(p.LocalSolarTimeH / LocalTimeStepH), [.. Enumerable.Range(0, (int)(24 / LocalTimeStepH) + 1).Select(i => i * LocalTimeStepH)]),
            _ => throw new ArgumentException($"Found the grouping '{by}'; expected {string.Join(", ", Ways)}.", nameof(by)),
        };
        return [.. pairs.GroupBy(p => (p.Compared, p.View, p.Line, Bin: Math.Min(index(p), edges.Length - 2)))
            .OrderBy(g => g.Key.Compared).ThenBy(g => g.Key.View, StringComparer.Ordinal).ThenBy(g => g.Key.Line, StringComparer.Ordinal).ThenBy(g => g.Key.Bin)
            .Select(g => new ComparisonGroup(g.Key.Compared, g.Key.View, g.Key.Line, by, edges[g.Key.Bin], edges[g.Key.Bin + 1], ComparisonStatistics.Of([.. g])!))];
    }
}
