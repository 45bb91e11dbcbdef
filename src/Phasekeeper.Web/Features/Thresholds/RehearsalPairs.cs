using Phasekeeper.Pipeline.Thresholds;

namespace Phasekeeper.Web.Features.Thresholds;

/// <summary>Lays the flags that a rule would have raised beside those that were: those about the same thing that share orbits.</summary>
public static class RehearsalPairs
{
    /// <summary>Each flag that would be raised with all that were raised in its place, and each flag that was raised and would not be, alone; by first orbit.</summary>
    public static IReadOnlyList<(ReportedFlag? Would, IReadOnlyList<ReportedFlag> Did)> Of(RehearsalReport report)
    {
        ArgumentNullException.ThrowIfNull(report);
        var did = report.Did.ToLookup(f => f.About, StringComparer.Ordinal);
        var would = report.Would.ToLookup(f => f.About, StringComparer.Ordinal);
        var pairs = report.Would.Select(w => (Would: (ReportedFlag?)w, Did: (IReadOnlyList<ReportedFlag>)[.. did[w.About].Where(d => Meet(w, d))]))
            .Concat(report.Did.Where(d => !would[d.About].Any(w => Meet(w, d))).Select(d => (Would: (ReportedFlag?)null, Did: (IReadOnlyList<ReportedFlag>)[d])));
        // Of very long lists a report keeps the beginning; behind it nothing is known of the other list.
        var known = Math.Min(Known(report.Would, report.WouldCounts.Flags), Known(report.Did, report.DidCounts.Flags));
        return [.. pairs.Where(p => (p.Would ?? p.Did[0]).LastOrbit < known).OrderBy(p => (p.Would ?? p.Did[0]).FirstOrbit).ThenBy(p => (p.Would ?? p.Did[0]).Id, StringComparer.Ordinal)];
    }

    private static long Known(IReadOnlyList<ReportedFlag> kept, int all) => kept.Count < all ? kept[^1].FirstOrbit : long.MaxValue;

    private static bool Meet(ReportedFlag a, ReportedFlag b) => a.FirstOrbit <= b.LastOrbit && b.FirstOrbit <= a.LastOrbit;
}
