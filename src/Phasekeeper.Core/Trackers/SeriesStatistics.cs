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

    // A baseline is made anew when it has grown by a tenth: its median hardly moves in between.
    private const int GrowthShare = 10;

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
        var series = Unwrap(values, tracker.Period);
        if (series.Length == 0) return new([], double.NaN, 0, limits);
        var key = series[0].Key;
        var fixedExpected = tracker.Baseline == TrackerBaseline.Coefficients && set is not null ? tracker.Expected(set, key.View, key.Line) : double.NaN;
        var moving = tracker.Baseline == TrackerBaseline.RecentOrbits;
        if (tracker.Baseline == TrackerBaseline.None || (double.IsNaN(fixedExpected) && tracker.Baseline == TrackerBaseline.Coefficients))
            return new([.. series.Select((v, i) => Uncharted(tracker, v, fixedExpected, i))], double.NaN, 0, limits);

        var points = new ChartedValue[series.Length];
        var chart = new Chart(limits);
        SeriesBaseline? baseline = null;
        List<TrackerValue> calm = []; // what the baseline is made of
        for (var i = 0; i < series.Length; i++)
        {
            if (i < LeastBaselineOrbits)
            {
                points[i] = Uncharted(tracker, series[i], fixedExpected, i);
                calm.Add(series[i]);
                continue;
            }
            if (baseline is null || calm.Count >= baseline.Orbits + Math.Max(1, baseline.Orbits / GrowthShare)) baseline = SeriesBaseline.Of([.. calm], tracker.LeastSpread, moving);
            var (expected, count) = tracker.Baseline switch
            {
                TrackerBaseline.Coefficients => (fixedExpected, 0),
                TrackerBaseline.FirstOrbits => (baseline.Centre, baseline.Orbits),
                _ => Recent(series, i),
            };
            points[i] = chart.Next(series[i], expected, count, baseline, i);
            if (calm.Count < BaselineOrbits && (chart.Calm || double.IsNaN(expected))) calm.Add(series[i]);
        }
        return new(points, baseline?.Spread ?? double.NaN, baseline?.Autocorrelation ?? 0, limits);
    }

    /// <summary>Values of a quantity known modulo a period, each moved by whole periods to lie nearest the median of the five before it.</summary>
    public static TrackerValue[] Unwrap(IReadOnlyList<TrackerValue> values, double period)
    {
        TrackerValue[] result = [.. values];
        if (!(period > 0)) return result;
        for (var i = 1; i < result.Length; i++)
        {
            var before = RobustStatistics.Median([.. result[Math.Max(0, i - 5)..i].Select(v => v.Value)]);
            result[i] = result[i] with { Value = before + Math.IEEERemainder(result[i].Value - before, period) };
        }
        return result;
    }

    private static (double Expected, int Count) Recent(TrackerValue[] series, int index)
    {
        double[] before = [.. series[Math.Max(0, index - OrbitInput.RecentOrbits)..index].Select(v => v.Value)];
        return before.Length < LeastBaselineOrbits ? (double.NaN, 0) : (RobustStatistics.Median(before), before.Length);
    }

    private static ChartedValue Uncharted(ITracker tracker, TrackerValue value, double expected, int index)
    {
        var waiting = tracker.Baseline != TrackerBaseline.None && index < LeastBaselineOrbits;
        return new(value, expected, double.NaN, double.NaN, double.NaN, double.NaN, double.NaN, double.NaN,
            value.Provisional || waiting ? TrackerState.Provisional : TrackerState.Normal);
    }

    private sealed class Chart(ChartDesign design)
    {
        private readonly Ewma _ewma = new(0, design.Lambda);
        private readonly Cusum _cusum = new(0, design.CusumK);
        private double _z;
        private (double High, double Low) _s;
        private int _wildRow;

        /// <summary>False from a signal until the chart is back within half its limits: a lasting shift must not become the new normal.</summary>
        public bool Calm { get; private set; } = true;

        public ChartedValue Next(TrackerValue value, double expected, int expectedFrom, SeriesBaseline baseline, int index)
        {
            var run = ChartDesign.RunFactor(baseline.Autocorrelation);
            var sigma = double.IsNaN(value.Sigma) ? 0 : value.Sigma;
            var s2 = baseline.Spread * baseline.Spread + sigma * sigma;
            if (expectedFrom > 0) s2 += Math.PI / 2 * (baseline.Spread * baseline.Spread + baseline.TypicalSigma * baseline.TypicalSigma) * run * run / expectedFrom;
            var s = Math.Sqrt(s2);
            // Without any spread (a count that never changed) a change is as large as it can be.
            var d = double.IsNaN(expected) ? double.NaN : s > 0 ? (value.Value - expected) / s : value.Value == expected ? 0 : CutSigma * Math.Sign(value.Value - expected);
            var provisional = value.Provisional || index < ProvisionalOrbits;
            if (double.IsNaN(d))
                return new(value, double.NaN, double.NaN, double.NaN, double.NaN, double.NaN, double.NaN, double.NaN, TrackerState.Provisional);

            var cut = Math.Clamp(d, -CutSigma, CutSigma);
            _z = _ewma.Next(_z, cut);
            var next = _cusum.Next(_s, cut / run);
            _s = (Math.Min(next.High, 2 * design.CusumH), Math.Min(next.Low, 2 * design.CusumH));
            _wildRow = Math.Abs(d) > design.SingleLimit ? _wildRow + 1 : 0;
            var half = design.EwmaLimit * design.EwmaSigma(baseline.Autocorrelation);
            var state = Math.Abs(_z) > 2 * half || _wildRow >= 2 ? TrackerState.Critical
                : Math.Abs(_z) > half || Math.Max(_s.High, _s.Low) > design.CusumH ? TrackerState.Warning
                : TrackerState.Normal;
            var nearness = Math.Max(Math.Abs(_z) / half, Math.Max(_s.High, _s.Low) / design.CusumH);
            Calm = nearness < 0.5 || (Calm && nearness <= 1);
            return new(value, expected, expected + s * _z, _s.High, _s.Low, d, expected - s * half, expected + s * half, provisional ? TrackerState.Provisional : state);
        }
    }
}
