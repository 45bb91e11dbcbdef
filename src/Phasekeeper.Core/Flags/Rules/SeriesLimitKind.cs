using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>
/// Base of the kinds that hold one number an orbit against limits: a measure is formed of the tracker's value (larger is worse),
/// and up to three limits give the severities.
/// </summary>
public abstract class SeriesLimitKind : RuleKind
{
    /// <summary>Defaults of the shared parameters.</summary>
    /// <param name="Notice">Limit of a notice; NaN = none.</param>
    /// <param name="Warning">Limit of a warning; NaN = none.</param>
    /// <param name="Critical">Limit of a critical flag; NaN = none.</param>
    /// <param name="Persistence">Orbits in a row.</param>
    /// <param name="DesignSigma">Scatter of the healthy measure.</param>
    /// <param name="DesignMean">Mean of the healthy measure.</param>
    /// <param name="DesignCorrelation">Lag-1 autocorrelation.</param>
    /// <param name="TwoSided">The measure is the size of something that can go either way.</param>
    /// <param name="Provisional">Use provisional values.</param>
    protected sealed record Defaults(double Notice, double Warning, double Critical, int Persistence, double DesignSigma,
        double DesignMean = 0, double DesignCorrelation = 0.3, bool TwoSided = false, bool Provisional = true);

    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.Series;
    /// <inheritdoc/>
    public override RuleSelector Selector => RuleSelector.Trackers;
    /// <summary>Defaults of this kind.</summary>
    protected abstract Defaults Standard { get; }
    /// <summary>Unit of the measure and limits; "tracker" = that of the tracker.</summary>
    public override string Unit => "tracker";
    /// <summary>Parameters beyond the shared ones.</summary>
    protected virtual IReadOnlyList<RuleParameter> MoreParameters => [];
    /// <summary>Orbits before an orbit that its measure looks at.</summary>
    protected virtual int BaselineOrbits(RuleDeclaration rule) => 0;

    /// <summary>The measure of point i, larger is worse; NaN when it cannot be formed.</summary>
    protected abstract double Measure(RuleDeclaration rule, SeriesHistory series, int i);

    /// <summary>1σ of the measure; NaN when not known.</summary>
    protected virtual double MeasureSigma(RuleDeclaration rule, SeriesHistory series, int i) => series.Points[i].Sigma;

    /// <summary>The sentence about the worst point.</summary>
    protected abstract string Describe(FlagThing thing, SeriesHistory series, SeriesPoint point, double measure, double limit, string unit);

    /// <summary>Winds in doubt; null = none.</summary>
    protected virtual WindsInDoubt? Doubt(SeriesHistory series) => null;

    /// <inheritdoc/>
    protected sealed override IReadOnlyList<RuleParameter> OwnParameters =>
    [
        new("noticeLimit", Unit, "Above this the orbit is a notice; absent: no notices.", Standard.Notice, 0, 1e12),
        new("warningLimit", Unit, "Above this the orbit is a warning; absent: no warnings.", Standard.Warning, 0, 1e12),
        new("criticalLimit", Unit, "Above this the orbit is critical; absent: never critical.", Standard.Critical, 0, 1e12),
        RuleParameter.Whole("persistenceOrbits", "orbits", "So many orbits in a row must be over a limit.", Standard.Persistence, 1, 45),
        new("hysteresisPercent", "%", "Once raised, the flag goes on until the value is this much below its lowest limit.", 10, 0, 90),
        new("significance", "σ", "The value must also be this many times its own uncertainty, where that is known.", 3, 0, 20),
        RuleParameter.Switch("useProvisional", "Also judge values whose baselines are not complete yet.", Standard.Provisional),
        new("designSigma", Unit, "Scatter (1σ) of the healthy measure; only for the expected number of false flags.", Standard.DesignSigma, 1e-12, 1e12),
        new("designMean", Unit, "Mean of the healthy measure; only for the expected number of false flags.", Standard.DesignMean, -1e12, 1e12),
        new("designCorrelation", "1", "Correlation of one orbit with the next; only for the expected number of false flags.", Standard.DesignCorrelation, 0, 0.99),
        .. MoreParameters,
    ];

    /// <inheritdoc/>
    public override int ReachOrbits(RuleDeclaration rule) =>
        BaselineOrbits(rule) + rule.Whole("persistenceOrbits") * (rule.Whole("quietOrbits") + 1);

    /// <inheritdoc/>
    public override IEnumerable<Condition> Evaluate(RuleDeclaration rule, RuleInputs inputs)
    {
        foreach (var series in inputs.Series)
            if (rule.Trackers.Contains(series.Key.Tracker) && rule.Watches(series.Key.View, series.Key.Line)
                && (series.Key.Channel is null || rule.WatchesChannel(series.Key.Channel)))
                foreach (var condition in EvaluateSeries(rule, inputs, series)) yield return condition;
    }

    private IEnumerable<Condition> EvaluateSeries(RuleDeclaration rule, RuleInputs inputs, SeriesHistory series)
    {
        var unit = Unit == "tracker" ? series.Unit : Unit;
        var used = new List<int>();
        var measures = new List<double>();
        var significant = new List<bool>();
        for (var i = 0; i < series.Points.Count; i++)
        {
            if (series.Points[i].Provisional && !rule.On("useProvisional")) continue;
            var measure = Measure(rule, series, i);
            if (!double.IsFinite(measure)) continue;
            var sigma = MeasureSigma(rule, series, i);
            used.Add(i);
            measures.Add(measure);
            significant.Add(!(double.IsFinite(sigma) && measure < rule["significance"] * sigma));
        }
        var keep = 1 - rule["hysteresisPercent"] / 100;
        foreach (var (severity, limit) in Limits(rule))
        {
            var points = used.Select((index, j) => new RunPoint(series.Points[index].Orbit,
                measures[j] > limit && significant[j], measures[j] > limit * keep)).ToList();
            foreach (var (first, last) in RunDetector.Find(points, rule.Whole("persistenceOrbits"), rule.Whole("quietOrbits") + 1))
            {
                var worst = first;
                for (var j = first; j <= last; j++) if (measures[j] > measures[worst]) worst = j;
                var thing = new FlagThing(rule.Id, series.Subject, series.Key.View, series.Key.Line);
                var point = series.Points[used[worst]];
                yield return OrbitCondition(rule, inputs, series.Subject, series.Key.View, series.Key.Line, severity,
                    series.Points[used[first]].Orbit, series.Points[used[last]].Orbit, point.Orbit, measures[worst], limit, unit,
                    measures[worst] / limit, Describe(thing, series, point, measures[worst], limit, unit), series.Key, series.Key.Channel, Doubt(series));
            }
        }
    }

    /// <summary>Limits that are set, mildest first.</summary>
    protected static IEnumerable<(FlagSeverity Severity, double Limit)> Limits(RuleDeclaration rule)
    {
        if (!double.IsNaN(rule["noticeLimit"])) yield return (FlagSeverity.Notice, rule["noticeLimit"]);
        if (!double.IsNaN(rule["warningLimit"])) yield return (FlagSeverity.Warning, rule["warningLimit"]);
        if (!double.IsNaN(rule["criticalLimit"])) yield return (FlagSeverity.Critical, rule["criticalLimit"]);
    }

    /// <inheritdoc/>
    public override IEnumerable<string> Check(RuleDeclaration rule)
    {
        var limits = Limits(rule).ToList();
        if (limits.Count == 0) yield return "no limit is set; expected at least one of noticeLimit, warningLimit, criticalLimit";
        for (var i = 1; i < limits.Count; i++)
            if (limits[i].Limit < limits[i - 1].Limit)
                yield return $"the {limits[i].Severity.ToString().ToLowerInvariant()} limit {FlagText.Number(limits[i].Limit)} is below the "
                    + $"{limits[i - 1].Severity.ToString().ToLowerInvariant()} limit {FlagText.Number(limits[i - 1].Limit)}; expected rising limits";
    }

    /// <inheritdoc/>
    public override FalseAlarmEstimate ExpectedFalseFlags(RuleDeclaration rule, DesignContext context)
    {
        var series = context.SeriesOf(rule);
        double Rate(double limit) => FalseAlarmDesign.RunStarts((limit - rule["designMean"]) / rule["designSigma"], rule["designCorrelation"],
            rule.Whole("persistenceOrbits"), Standard.TwoSided) * context.OrbitsPerMonth;
        var limits = Limits(rule).ToList();
        if (limits.Count == 0) return FalseAlarmEstimate.None(rule.Id, series, "no limit is set");
        var all = Rate(limits[0].Limit);
        var critical = double.IsNaN(rule["criticalLimit"]) ? 0 : Rate(rule["criticalLimit"]);
        return new FalseAlarmEstimate(rule.Id, series, all, all * series, critical * series,
            $"Gaussian scatter {FlagText.WithUnit(rule["designSigma"], Unit)} with correlation {FlagText.Number(rule["designCorrelation"])} from orbit to orbit, "
            + $"{FlagText.Number((limits[0].Limit - rule["designMean"]) / rule["designSigma"])}σ limit, {FlagText.Count(rule.Whole("persistenceOrbits"), "orbit")} in a row");
    }
}
