using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Base of the kinds that look for growth over what is expected, or over the median of recent orbits where nothing is.</summary>
public abstract class GrowthKind : SeriesLimitKind
{
    /// <summary>True: growth as percent of the baseline; false: as a difference.</summary>
    protected abstract bool Relative { get; }
    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> MoreParameters =>
    [
        RuleParameter.Whole("baselineOrbits", "orbits", "Where the coefficient set expects nothing, growth counts from the median of so many orbits before.", 15, 3, 150),
    ];

    /// <inheritdoc/>
    protected override int BaselineOrbits(RuleDeclaration rule) => rule.Whole("baselineOrbits");

    private static double Baseline(RuleDeclaration rule, SeriesHistory series, int i)
    {
        var p = series.Points[i];
        if (double.IsFinite(p.Expected)) return p.Expected;
        var reach = rule.Whole("baselineOrbits");
        var before = new List<double>();
        for (var j = i - 1; j >= 0 && series.Points[j].Orbit >= p.Orbit - reach; j--) before.Add(series.Points[j].Value);
        // A third of the orbits must be there, at least three: fewer are no baseline.
        return before.Count >= Math.Max(3, reach / 3) ? BaselineStatistics.Median(before) : double.NaN;
    }

    /// <inheritdoc/>
    protected override double Measure(RuleDeclaration rule, SeriesHistory series, int i)
    {
        var baseline = Baseline(rule, series, i);
        var growth = series.Points[i].Value - baseline;
        return !Relative ? growth : baseline > 0 ? 100 * growth / baseline : double.NaN;
    }

    /// <inheritdoc/>
    protected override double MeasureSigma(RuleDeclaration rule, SeriesHistory series, int i)
    {
        if (!Relative) return series.Points[i].Sigma;
        var baseline = Baseline(rule, series, i);
        return baseline > 0 ? 100 * series.Points[i].Sigma / baseline : double.NaN;
    }

    /// <inheritdoc/>
    protected override string Describe(FlagThing thing, SeriesHistory series, SeriesPoint point, double measure, double limit, string unit) =>
        $"{thing.Words()} was {FlagText.WithUnit(point.Value, series.Unit)} on orbit {point.Orbit}, {FlagText.WithUnit(measure, unit)} more than expected; "
        + $"limit {FlagText.WithUnit(limit, unit)}.";
}
