using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>
/// Two-sided CUSUM in units of σ_run = σ·√((1+r)/(1−r)): speaks when the sum of departures beyond k σ_run exceeds h σ_run. NIST/SEMATECH e-Handbook, section 6.3.2.3, for the chart;
/// the handbook's h of 4 to 5 is for one chart now and then, here h follows from the family-wise rate (<see cref="FalseAlarmDesign.CusumAlarms"/>).
/// </summary>
public sealed class CusumKind : ChartKind
{
    /// <inheritdoc/>
    public override string Id => "cusum";
    /// <inheritdoc/>
    public override string Title => "Small lasting shift (CUSUM)";
    /// <inheritdoc/>
    public override string LooksAt => "The two one-sided sums of a tracker's departures from the value expected from the coefficient set: speaks when one exceeds its decision interval.";
    /// <inheritdoc/>
    public override string Advice => "A small shift that lasts: the date at which the sum left zero is when it began. Decide whether a new coefficient set is due. It commands nothing; the mission's flight rules and its operators decide on steps on board.";
    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters =>
    [
        .. Shared(6.5, "Decision interval h in σ_run of the healthy values."),
        new("reference", "σ", "Reference value k in σ_run, as the CUSUM was made with.", 1, 0.05, 3),
    ];

    /// <inheritdoc/>
    protected override double Limit(RuleDeclaration rule) => rule["limit"];

    /// <inheritdoc/>
    protected override (double Size, int Direction) Statistic(RuleDeclaration rule, SeriesPoint point) =>
        point.CusumHigh >= point.CusumLow ? (point.CusumHigh, 1) : (point.CusumLow, -1);

    /// <inheritdoc/>
    protected override string Describe(FlagThing thing, SeriesHistory series, SeriesPoint point, double size, int direction, double limit) =>
        $"{thing.Words()} has been {(direction > 0 ? "above" : "below")} the expected {FlagText.WithUnit(point.Expected, series.Unit)} for some time: "
        + $"the sum of its departures reached {FlagText.Number(size)} σ on orbit {point.Orbit}; limit {FlagText.Number(limit)} σ.";

    /// <inheritdoc/>
    public override FalseAlarmEstimate ExpectedFalseFlags(RuleDeclaration rule, DesignContext context)
    {
        var series = context.SeriesOf(rule);
        var rate = FalseAlarmDesign.CusumAlarms(rule["limit"], rule["reference"], 0) * context.OrbitsPerMonth;
        return new(rule.Id, series, rate, rate * series, 0,
            $"average run length of a two-sided CUSUM (k {FlagText.Number(rule["reference"])} σ, h {FlagText.Number(rule["limit"])} σ, both in σ_run, which takes the correlation in)");
    }
}
