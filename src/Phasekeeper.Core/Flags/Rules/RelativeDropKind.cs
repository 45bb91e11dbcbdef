using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Base of the kinds that look for a loss against a reference, in percent of it.</summary>
public abstract class RelativeDropKind : SeriesLimitKind
{
    /// <inheritdoc/>
    public override string Unit => "%";

    // The trackers are relative to the coefficient set's reference already; an expected value other than 1 is honoured.
    private static double Reference(SeriesPoint p) => double.IsFinite(p.Expected) && p.Expected != 0 ? p.Expected : 1;

    /// <inheritdoc/>
    protected override double Measure(RuleDeclaration rule, SeriesHistory series, int i) => 100 * (1 - series.Points[i].Value / Reference(series.Points[i]));

    /// <inheritdoc/>
    protected override double MeasureSigma(RuleDeclaration rule, SeriesHistory series, int i) => 100 * series.Points[i].Sigma / Math.Abs(Reference(series.Points[i]));

    /// <inheritdoc/>
    protected override string Describe(FlagThing thing, SeriesHistory series, SeriesPoint point, double measure, double limit, string unit) =>
        $"{thing.Words()} was {FlagText.Number(measure)} % below its reference on orbit {point.Orbit}; limit {FlagText.Number(limit)} %.";
}
