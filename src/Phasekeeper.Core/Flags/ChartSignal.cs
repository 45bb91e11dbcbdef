using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Flags;

/// <summary>A chart that is over its limit, as evidence of a drift flag.</summary>
/// <param name="Series">Which series.</param>
/// <param name="Chart">EWMA or CUSUM.</param>
/// <param name="FirstOrbit">First orbit over the limit.</param>
/// <param name="LastOrbit">Last orbit over the limit so far.</param>
/// <param name="Worst">Furthest departure, signed, in the chart's σ.</param>
public sealed record ChartSignal(SeriesKey Series, string Chart, int FirstOrbit, int LastOrbit, double Worst)
{
    /// <summary>One a series and chart, by first orbit, then series and chart; the same whatever the order of the input.</summary>
    public static IReadOnlyList<ChartSignal> Join(IEnumerable<ChartSignal> signals) => [.. signals.GroupBy(s => (s.Series, s.Chart))
        .Select(g => new ChartSignal(g.Key.Series, g.Key.Chart, g.Min(s => s.FirstOrbit), g.Max(s => s.LastOrbit), g.Select(s => s.Worst).OrderByDescending(Math.Abs).ThenByDescending(w => w).First()))
        .OrderBy(s => s.FirstOrbit).ThenBy(s => s.Where(), StringComparer.Ordinal).ThenBy(s => s.Chart, StringComparer.Ordinal)];

    /// <summary>"F green"; "all" for a series without view and line.</summary>
    public string Where() => Series.View is null && Series.Line is null ? "all" : string.Join(' ', new[] { Series.View, Series.Line }.OfType<string>());
}
