using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Inputs;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>
/// The control charts of a tracker: EWMA (slow drift) and two-sided CUSUM (small lasting shift) of all its views and lines, as the statistics stage draws them
/// (NIST/SEMATECH e-Handbook, sections 6.3.2.3 and 6.3.2.4), against limits designed for the number of charts (<see cref="ChartDesign"/>, the same as the states on
/// pages). What ages moves several views, lines and both charts within days: that is one flag, which names every chart that signals and since when.
/// </summary>
public sealed class DriftKind : RuleKind
{
    private const string EwmaName = "EWMA", CusumName = "CUSUM";

    /// <inheritdoc/>
    public override string Id => "drift";
    /// <inheritdoc/>
    public override string Title => "Drift";
    /// <inheritdoc/>
    public override string LooksAt => "The running mean (EWMA) and the summed departures (CUSUM) of a tracker against the value expected from the coefficient set or its first orbits: speaks when a chart of any view or line leaves limits designed for the number of charts; all charts of a tracker are one flag.";
    /// <inheritdoc/>
    public override string Advice => "A real, lasting change: look for its date with the trend on the Drift page, compare the views and lines that the flag names with those that it does not, then decide whether a new coefficient set is due. It commands nothing; the mission's flight rules and its operators decide on steps on board.";
    /// <inheritdoc/>
    public override string Unit => "σ";
    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.Series;
    /// <inheritdoc/>
    public override RuleSelector Selector => RuleSelector.Trackers;

    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters =>
    [
        new("ewmaLimit", "σ", "Half width of the EWMA chart in σ of the EWMA itself; absent: the chart does not speak.", ChartDesign.Default.EwmaLimit, 0.5, 100),
        new("cusumLimit", "σ", "Decision interval of the CUSUM in σ_run of the healthy values; absent: the chart does not speak.", ChartDesign.Default.CusumH, 0.5, 100),
        new("leastChange", "tracker", "A change of the running mean smaller than this is not worth a flag however significant.", 0, 0, 1e12),
        RuleParameter.Whole("severity", "1", "Severity of its flags: 0 notice, 1 warning.", 0, 0, 1),
    ];

    /// <inheritdoc/>
    public override IEnumerable<string> Check(RuleDeclaration rule)
    {
        if (double.IsNaN(rule["ewmaLimit"]) && double.IsNaN(rule["cusumLimit"])) yield return "both charts are off; expected ewmaLimit or cusumLimit";
    }

    /// <inheritdoc/>
    public override int ReachOrbits(RuleDeclaration rule) => rule.Whole("quietOrbits") + 1;

    /// <inheritdoc/>
    public override IEnumerable<Condition> Evaluate(RuleDeclaration rule, RuleInputs inputs)
    {
        foreach (var series in inputs.Series)
        {
            if (!rule.Trackers.Contains(series.Key.Tracker) || !rule.Watches(series.Key.View, series.Key.Line)
                || (series.Key.Channel is not null && !rule.WatchesChannel(series.Key.Channel))) continue;
            // A provisional value's chart may still change: charts speak when their past is complete.
            var points = series.Points.Where(p => !p.Provisional && Signals(rule, p).Any()).ToList();
            foreach (var (first, last) in RunDetector.Find([.. points.Select(p => new RunPoint(p.Orbit, true, true))], 1, rule.Whole("quietOrbits") + 1))
                yield return Of(rule, inputs, series, points.GetRange(first, last - first + 1));
        }
    }

    private Condition Of(RuleDeclaration rule, RuleInputs inputs, SeriesHistory series, List<SeriesPoint> run)
    {
        var all = run.SelectMany(p => Signals(rule, p).Select(s => (Point: p, Signal: s))).ToList();
        var (point, worst) = all.MaxBy(s => s.Signal.Ratio);
        var charts = all.GroupBy(s => s.Signal.Chart, StringComparer.Ordinal).Select(g => new ChartSignal(series.Key, g.Key, g.Min(s => s.Point.Orbit), g.Max(s => s.Point.Orbit), g.MaxBy(s => s.Signal.Ratio).Signal.Value));
        var (key, words) = (series.Key, new FlagThing(rule.Id, series.Subject, series.Key.View, series.Key.Line).Words());
        var direction = worst.Value > 0 ? "above" : "below";
        var text = worst.Chart == EwmaName
            ? $"{words}: the running mean was {FlagText.WithUnit(point.Ewma, series.Unit)} on orbit {point.Orbit}, {FlagText.Number(Math.Abs(worst.Value))} σ {direction} the expected "
                + $"{FlagText.WithUnit(point.Expected, series.Unit)}; limit {FlagText.Number(Math.Abs(worst.Limit))} σ."
            : $"{words} has been {direction} the expected {FlagText.WithUnit(point.Expected, series.Unit)} for some time: the sum of its departures reached "
                + $"{FlagText.Number(Math.Abs(worst.Value))} σ on orbit {point.Orbit}; limit {FlagText.Number(Math.Abs(worst.Limit))} σ.";
        var condition = OrbitCondition(rule, inputs, series.Subject, null, null, (FlagSeverity)rule.Whole("severity"), run[0].Orbit, run[^1].Orbit, point.Orbit,
            worst.Value, worst.Limit, Unit, worst.Ratio, text, key, key.Channel, new(key.View, key.Line, null, null, "a coefficient behind them may have drifted"));
        return condition with { Evidence = condition.Evidence with { Signals = ChartSignal.Join(charts) } };
    }

    // What is over its limit at a point: signed value and limit in the chart's σ.
    private static IEnumerable<(string Chart, double Value, double Limit, double Ratio)> Signals(RuleDeclaration rule, SeriesPoint p)
    {
        if (double.IsFinite(p.Ewma) && double.IsFinite(p.Expected) && Math.Abs(p.Ewma - p.Expected) < rule["leastChange"]) yield break;
        var z = p.EwmaSigma > 0 ? (p.Ewma - p.Expected) / p.EwmaSigma : double.NaN;
        if (Math.Abs(z) > rule["ewmaLimit"]) yield return (EwmaName, z, Math.CopySign(rule["ewmaLimit"], z), Math.Abs(z) / rule["ewmaLimit"]);
        var sum = p.CusumHigh >= p.CusumLow ? p.CusumHigh : -p.CusumLow;
        if (Math.Abs(sum) > rule["cusumLimit"]) yield return (CusumName, sum, Math.CopySign(rule["cusumLimit"], sum), Math.Abs(sum) / rule["cusumLimit"]);
    }

    /// <inheritdoc/>
    public override FalseAlarmEstimate ExpectedFalseFlags(RuleDeclaration rule, DesignContext context)
    {
        var series = context.SeriesOf(rule);
        var design = ChartDesign.Default;
        var perOrbit = (double.IsNaN(rule["ewmaLimit"]) ? 0 : 1 / RunLength.Ewma(design.Lambda, rule["ewmaLimit"])) + (double.IsNaN(rule["cusumLimit"]) ? 0 : 1 / RunLength.Cusum(rule["cusumLimit"], design.CusumK));
        return new(rule.Id, series, perOrbit * context.OrbitsPerMonth, perOrbit * context.OrbitsPerMonth * series, 0,
            $"average run lengths of an EWMA (λ {FlagText.Number(design.Lambda)}, ±{FlagText.Number(rule["ewmaLimit"])} σ) and a two-sided CUSUM (k {FlagText.Number(design.CusumK)} σ, h {FlagText.Number(rule["cusumLimit"])} σ), both in σ that take the correlation in");
    }
}
