using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Trackers;

/// <summary>
/// The charts of one series, value by value from the start of its reference (see <see cref="SeriesStatistics"/> for what is computed). What it knows after a value is
/// its <see cref="State"/>; a chart that goes on from there gives the same bits as one that ran from the start.
/// </summary>
public sealed class SeriesChart
{
    // A baseline is made anew when it has grown by a tenth: its median hardly moves in between.
    private const int GrowthShare = 10;

    private readonly ITracker _tracker;
    private readonly ChartDesign _design;
    private readonly Ewma _ewma;
    private readonly Cusum _cusum;
    private readonly double _fixedExpected;
    private readonly bool _charted;
    private readonly List<double> _recent; // unwrapped, oldest first
    private readonly List<(double Value, double Sigma)> _calm; // what the baseline is made of; empty once that is complete
    private int _count;
    private double _z;
    private (double High, double Low) _s;
    private int _wildRow;
    private bool _isCalm = true; // false from a signal until the chart is back within half its limits: a lasting shift must not become the new normal
    private bool _complete;

    /// <summary>Charts of a series.</summary>
    /// <param name="tracker">Its tracker.</param>
    /// <param name="key">Which series.</param>
    /// <param name="set">Coefficient set in force over the whole of the reference; null when there is none.</param>
    /// <param name="design">Limits.</param>
    /// <param name="state">Where to go on from; null = the start.</param>
    public SeriesChart(ITracker tracker, SeriesKey key, CoefficientSet? set, ChartDesign design, SeriesChartState? state = null)
    {
        (_tracker, _design) = (tracker, design);
        (_ewma, _cusum) = (new(0, design.Lambda), new(0, design.CusumK));
        _fixedExpected = tracker.Baseline == TrackerBaseline.Coefficients && set is not null ? tracker.Expected(set, key.View, key.Line) : double.NaN;
        _charted = tracker.Baseline != TrackerBaseline.None && !(double.IsNaN(_fixedExpected) && tracker.Baseline == TrackerBaseline.Coefficients);
        (_recent, _calm) = ([.. state?.Recent ?? []], [.. state?.Calm ?? []]);
        if (state is null) return;
        (_count, _z, _s, _wildRow, _isCalm, _complete, Baseline) = (state.Count, state.Z, (state.CusumHigh, state.CusumLow), state.WildRow, state.IsCalm, state.Complete, state.Baseline);
    }

    /// <summary>What the first orbits say; null while they are too few.</summary>
    public SeriesBaseline? Baseline { get; private set; }

    /// <summary>All that the next value's statistics depend on besides the value.</summary>
    public SeriesChartState State => new()
    {
        Count = _count,
        Z = _z,
        CusumHigh = _s.High,
        CusumLow = _s.Low,
        WildRow = _wildRow,
        IsCalm = _isCalm,
        Complete = _complete,
        Baseline = Baseline,
        Recent = [.. _recent],
        Calm = [.. _calm],
    };

    /// <summary>Takes the next value, in rising order of orbits; gives its statistics.</summary>
    public ChartedValue Next(TrackerValue given)
    {
        var value = _tracker.Period > 0 && _recent.Count > 0
            ? given with { Value = SeriesStatistics.Nearest(given.Value, [.. _recent.TakeLast(SeriesStatistics.UnwrapOrbits)], _tracker.Period) } : given;
        var point = _charted ? Charted(value) : Uncharted(value);
        _recent.Add(value.Value);
        if (_recent.Count > OrbitInput.RecentOrbits) _recent.RemoveAt(0);
        _count++;
        return point;
    }

    private ChartedValue Charted(TrackerValue value)
    {
        if (_count < SeriesStatistics.LeastBaselineOrbits)
        {
            _calm.Add((value.Value, value.Sigma));
            return Uncharted(value);
        }
        if (!_complete && (Baseline is null || _calm.Count >= NextBaseline(Baseline)))
            Baseline = SeriesBaseline.Of([.. _calm], _tracker.LeastSpread, _tracker.Baseline == TrackerBaseline.RecentOrbits);
        var (expected, count) = _tracker.Baseline switch
        {
            TrackerBaseline.Coefficients => (_fixedExpected, 0),
            TrackerBaseline.FirstOrbits => (Baseline!.Centre, Baseline.Orbits),
            _ => Recent(),
        };
        var point = Step(value, expected, count, Baseline!);
        if (!_complete && _calm.Count < SeriesStatistics.BaselineOrbits && (_isCalm || double.IsNaN(expected))) _calm.Add((value.Value, value.Sigma));
        if (!_complete && _calm.Count == SeriesStatistics.BaselineOrbits && NextBaseline(Baseline!) > SeriesStatistics.BaselineOrbits)
        {
            _complete = true;
            _calm.Clear();
        }
        return point;
    }

    private static int NextBaseline(SeriesBaseline baseline) => baseline.Orbits + Math.Max(1, baseline.Orbits / GrowthShare);

    private (double Expected, int Count) Recent() =>
        _recent.Count < SeriesStatistics.LeastBaselineOrbits ? (double.NaN, 0) : (RobustStatistics.Median(_recent), _recent.Count);

    private ChartedValue Uncharted(TrackerValue value)
    {
        var waiting = _tracker.Baseline != TrackerBaseline.None && _count < SeriesStatistics.LeastBaselineOrbits;
        return new(value, _fixedExpected, double.NaN, double.NaN, double.NaN, double.NaN, double.NaN, double.NaN,
            value.Provisional || waiting ? TrackerState.Provisional : TrackerState.Normal);
    }

    private ChartedValue Step(TrackerValue value, double expected, int expectedFrom, SeriesBaseline baseline)
    {
        var run = ChartDesign.RunFactor(baseline.Autocorrelation);
        var sigma = double.IsNaN(value.Sigma) ? 0 : value.Sigma;
        var s2 = baseline.Spread * baseline.Spread + sigma * sigma;
        if (expectedFrom > 0) s2 += Math.PI / 2 * (baseline.Spread * baseline.Spread + baseline.TypicalSigma * baseline.TypicalSigma) * run * run / expectedFrom;
        var s = Math.Sqrt(s2);
        // Without any spread (a count that never changed) a change is as large as it can be.
        var d = double.IsNaN(expected) ? double.NaN : s > 0 ? (value.Value - expected) / s : value.Value == expected ? 0 : SeriesStatistics.CutSigma * Math.Sign(value.Value - expected);
        var provisional = value.Provisional || _count < SeriesStatistics.ProvisionalOrbits;
        if (double.IsNaN(d))
            return new(value, double.NaN, double.NaN, double.NaN, double.NaN, double.NaN, double.NaN, double.NaN, TrackerState.Provisional);

        var cut = Math.Clamp(d, -SeriesStatistics.CutSigma, SeriesStatistics.CutSigma);
        _z = _ewma.Next(_z, cut);
        var next = _cusum.Next(_s, cut / run);
        _s = (Math.Min(next.High, 2 * _design.CusumH), Math.Min(next.Low, 2 * _design.CusumH));
        _wildRow = Math.Abs(d) > _design.SingleLimit ? _wildRow + 1 : 0;
        var half = _design.EwmaLimit * _design.EwmaSigma(baseline.Autocorrelation);
        var state = Math.Abs(_z) > 2 * half || _wildRow >= 2 ? TrackerState.Critical
            : Math.Abs(_z) > half || Math.Max(_s.High, _s.Low) > _design.CusumH ? TrackerState.Warning
            : TrackerState.Normal;
        var nearness = Math.Max(Math.Abs(_z) / half, Math.Max(_s.High, _s.Low) / _design.CusumH);
        _isCalm = nearness < 0.5 || (_isCalm && nearness <= 1);
        return new(value, expected, expected + s * _z, _s.High, _s.Low, d, expected - s * half, expected + s * half, provisional ? TrackerState.Provisional : state);
    }
}

/// <summary>What a series' charts know after a value; see <see cref="SeriesChart"/>.</summary>
public sealed record SeriesChartState
{
    /// <summary>Values so far.</summary>
    public required int Count { get; init; }
    /// <summary>EWMA of the cut deviations, σ.</summary>
    public required double Z { get; init; }
    /// <summary>Upper CUSUM, σ_run.</summary>
    public required double CusumHigh { get; init; }
    /// <summary>Lower CUSUM, σ_run.</summary>
    public required double CusumLow { get; init; }
    /// <summary>Values running beyond the single-value limit.</summary>
    public required int WildRow { get; init; }
    /// <summary>False from a signal until the chart is back within half its limits.</summary>
    public required bool IsCalm { get; init; }
    /// <summary>True when the baseline is as it will stay.</summary>
    public required bool Complete { get; init; }
    /// <summary>Baseline; null while there is none.</summary>
    public required SeriesBaseline? Baseline { get; init; }
    /// <summary>The last values (up to <see cref="OrbitInput.RecentOrbits"/>), unwrapped, oldest first.</summary>
    public required IReadOnlyList<double> Recent { get; init; }
    /// <summary>Values and σ that the baseline is made of, in orbit order; empty once it is complete.</summary>
    public required IReadOnlyList<(double Value, double Sigma)> Calm { get; init; }
}
