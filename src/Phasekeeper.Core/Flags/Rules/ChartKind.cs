using Phasekeeper.Core.Flags.Inputs;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Base of the two control charts: a statistic per orbit, made by the statistics stage, against a designed limit.</summary>
public abstract class ChartKind : RuleKind
{
    /// <inheritdoc/>
    public override string Unit => "σ";
    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.Series;
    /// <inheritdoc/>
    public override RuleSelector Selector => RuleSelector.Trackers;

    /// <summary>The statistic in the unit of its limit and the direction (+1 up, −1 down); NaN when there is none.</summary>
    protected abstract (double Size, int Direction) Statistic(RuleDeclaration rule, SeriesPoint point);

    /// <summary>The limit.</summary>
    protected abstract double Limit(RuleDeclaration rule);

    /// <summary>The sentence.</summary>
    protected abstract string Describe(FlagThing thing, SeriesHistory series, SeriesPoint point, double size, int direction, double limit);

    /// <summary>Parameters that both charts share.</summary>
    protected static IReadOnlyList<RuleParameter> Shared(double limit, string meaning) =>
    [
        new("limit", "σ", meaning, limit, 0.5, 100),
        new("leastChange", "tracker", "A change smaller than this is not worth a flag however significant.", 0, 0, 1e12),
        RuleParameter.Whole("severity", "1", "Severity of its flags: 0 notice, 1 warning.", 0, 0, 1),
    ];

    /// <inheritdoc/>
    public override int ReachOrbits(RuleDeclaration rule) => rule.Whole("quietOrbits") + 1;

    /// <inheritdoc/>
    public override IEnumerable<Condition> Evaluate(RuleDeclaration rule, RuleInputs inputs)
    {
        var severity = (FlagSeverity)rule.Whole("severity");
        var limit = Limit(rule);
        foreach (var series in inputs.Series)
        {
            if (!rule.Trackers.Contains(series.Key.Tracker) || !rule.Watches(series.Key.View, series.Key.Line)
                || (series.Key.Channel is not null && !rule.WatchesChannel(series.Key.Channel))) continue;
            // A provisional value's chart may still change: charts speak when their past is complete.
            var points = series.Points.Where(p => !p.Provisional && double.IsFinite(Statistic(rule, p).Size)).ToList();
            var over = points.Select(p => new RunPoint(p.Orbit, IsOver(rule, p, limit), false)).ToList();
            foreach (var (first, last) in RunDetector.Find(over, 1, rule.Whole("quietOrbits") + 1))
            {
                var worst = points.GetRange(first, last - first + 1).MaxBy(p => Statistic(rule, p).Size);
                var (size, direction) = Statistic(rule, worst);
                var key = series.Key;
                yield return OrbitCondition(rule, inputs, series.Subject, key.View, key.Line, severity, points[first].Orbit, points[last].Orbit, worst.Orbit,
                    direction * size, direction * limit, Unit, size / limit, Describe(new(rule.Id, series.Subject, key.View, key.Line), series, worst, size, direction, limit),
                    key, key.Channel, Doubt(key));
            }
        }
    }

    private bool IsOver(RuleDeclaration rule, SeriesPoint p, double limit) => Statistic(rule, p).Size > limit
        && !(double.IsFinite(p.Ewma) && double.IsFinite(p.Expected) && Math.Abs(p.Ewma - p.Expected) < rule["leastChange"]);

    private static WindsInDoubt Doubt(SeriesKey key) => new(key.View, key.Line, null, null, "a coefficient behind them may have drifted");
}
