using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Trackers;

/// <summary>How a value stands (contract.md section 4: normal, warning, critical, provisional).</summary>
public enum TrackerState
{
    /// <summary>Within the limits.</summary>
    Normal,
    /// <summary>EWMA or CUSUM beyond its limit.</summary>
    Warning,
    /// <summary>EWMA beyond twice its limit, or two values running that are each beyond the single-value limit.</summary>
    Critical,
    /// <summary>Its data, its neighbours or its baseline are not complete.</summary>
    Provisional,
}

/// <summary>A value of a series with its statistics: the row of the API.</summary>
/// <param name="Value">The value as computed (unwrapped for a phase).</param>
/// <param name="Expected">What it is compared with, tracker's unit; NaN while unknown.</param>
/// <param name="Ewma">EWMA, tracker's unit; NaN while there is no expectation.</param>
/// <param name="CusumHigh">Upper CUSUM in σ_run (see <see cref="ChartDesign"/>); NaN likewise.</param>
/// <param name="CusumLow">Lower CUSUM.</param>
/// <param name="Deviation">(value − expected)/s, s² = spread² + σ²; NaN likewise.</param>
/// <param name="EwmaLow">Lower limit of the EWMA, tracker's unit.</param>
/// <param name="EwmaHigh">Upper limit.</param>
/// <param name="State">Verdict.</param>
public readonly record struct ChartedValue(
    TrackerValue Value, double Expected, double Ewma, double CusumHigh, double CusumLow, double Deviation, double EwmaLow, double EwmaHigh, TrackerState State);

/// <summary>A series with its statistics and what they were made with.</summary>
/// <param name="Points">One a value, in orbit order.</param>
/// <param name="Spread">Orbit-to-orbit spread beyond the values' own σ, tracker's unit; NaN while unknown.</param>
/// <param name="Autocorrelation">Lag-1 autocorrelation used for the limits, 0…0.95.</param>
/// <param name="Design">Limits.</param>
public sealed record SeriesResult(IReadOnlyList<ChartedValue> Points, double Spread, double Autocorrelation, ChartDesign Design);

/// <summary>
/// EWMA and two-sided CUSUM of one tracker series, run forward over per-orbit values from the start of its reference (the approved set's validity or the last
/// acknowledged reset). A pure function of the values given.
/// <para>
/// Expected value: the coefficient set's, the median of the first orbits (up to 150), or the median of the 15 orbits before (<see cref="ITracker.Baseline"/>).
/// A value is charted as d = (value − expected)/s with s² = spread² + σ²: the spread is the part of the first orbits' scatter (MAD about their median) that their
/// own σ do not explain, never below the tracker's least spread; where the expectation was estimated from n orbits, its own variance 1.57·s²·(1+r)/(1−r)/n is added.
/// r is the lag-1 autocorrelation of the first orbits' deviations, shrunk towards 0.3 while they are few. d is cut at ±<see cref="CutSigma"/>, and the CUSUM held at
/// twice its limit, so that one wild orbit does not ring for days and the chart comes back when the values do.
/// </para>
/// </summary>
public static class SeriesStatistics
{
    /// <summary>Orbits that make a full baseline (chosen: ten days of 15 orbits); until then each value's baseline is made from those before it. From a signal until the chart is back within half its limits nothing is taken in.</summary>
    public const int BaselineOrbits = 150;

    /// <summary>Values are provisional until their baseline holds so many orbits (chosen: two days).</summary>
    public const int ProvisionalOrbits = 30;

    /// <summary>Orbits after which a baseline is used at all.</summary>
    public const int LeastBaselineOrbits = 8;

    /// <summary>Deviations are cut here, σ.</summary>
    public const double CutSigma = 6;

    /// <summary>Statistics of one series.</summary>
    /// <param name="tracker">Its tracker.</param>
    /// <param name="values">Values from the start of the reference, ascending by orbit, one an orbit.</param>
    /// <param name="set">Coefficient set in force; null when there is none.</param>
    /// <param name="design">Limits; null = <see cref="ChartDesign.Default"/>.</param>
    public static SeriesResult Run(ITracker tracker, IReadOnlyList<TrackerValue> values, CoefficientSet? set, ChartDesign? design = null)
    {
        var limits = design ?? ChartDesign.Default;
        if (values.Count == 0) return new([], double.NaN, 0, limits);
        var chart = new SeriesChart(tracker, values[0].Key, set, limits);
        return new([.. values.Select(chart.Next)], chart.Baseline?.Spread ?? double.NaN, chart.Baseline?.Autocorrelation ?? 0, limits);
    }

    /// <summary>Values of a quantity known modulo a period, each moved by whole periods to lie nearest the median of the five before it.</summary>
    public static TrackerValue[] Unwrap(IReadOnlyList<TrackerValue> values, double period)
    {
        TrackerValue[] result = [.. values];
        if (!(period > 0)) return result;
        for (var i = 1; i < result.Length; i++)
            result[i] = result[i] with { Value = Nearest(result[i].Value, [.. result[Math.Max(0, i - UnwrapOrbits)..i].Select(v => v.Value)], period) };
        return result;
    }

    /// <summary>A value moved by whole periods to lie nearest the median of those before it.</summary>
    internal static double Nearest(double value, double[] before, double period)
    {
        var centre = RobustStatistics.Median(before);
        return centre + Math.IEEERemainder(value - centre, period);
    }

    /// <summary>Orbits before a value that tell near which whole period it lies.</summary>
    internal const int UnwrapOrbits = 5;
}
