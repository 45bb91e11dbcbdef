using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>
/// EWMA chart: speaks when the exponentially weighted mean leaves expected ± L·σ_z, with σ_z of the steady EWMA of a series with lag-1
/// correlation (<see cref="FalseAlarmDesign.EwmaSigma"/>). NIST/SEMATECH e-Handbook, section 6.3.2.4, for the chart.
/// </summary>
public sealed class EwmaKind : ChartKind
{
    /// <inheritdoc/>
    public override string Id => "ewma";
    /// <inheritdoc/>
    public override string Title => "Slow drift (EWMA)";
    /// <inheritdoc/>
    public override string LooksAt => "The exponentially weighted mean of a tracker against the value expected from the coefficient set: speaks when it leaves limits designed for the number of charts.";
    /// <inheritdoc/>
    public override string Advice => "A real, lasting change: look for its date with the trend on the Drift page, then decide whether a new coefficient set is due. It commands nothing; the mission's flight rules and its operators decide on steps on board.";
    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters =>
    [
        .. Shared(4.6, "Half width of the chart in σ of the EWMA itself."),
        new("correlation", "1", "Correlation of one orbit's value with the next on a healthy instrument; used where the chart brings no σ of its own.", 0.3, 0, 0.95),
        new("lambda", "1", "Weight of the newest value, as the EWMA was made with.", 0.2, 0.01, 1),
    ];

    /// <inheritdoc/>
    protected override double Limit(RuleDeclaration rule) => rule["limit"];

    /// <inheritdoc/>
    protected override (double Size, int Direction) Statistic(RuleDeclaration rule, SeriesPoint point)
    {
        var sigma = double.IsFinite(point.EwmaSigma) ? point.EwmaSigma : point.ReferenceSigma * FalseAlarmDesign.EwmaSigma(rule["lambda"], rule["correlation"]);
        var z = sigma > 0 ? (point.Ewma - point.Expected) / sigma : double.NaN;
        return (Math.Abs(z), z < 0 ? -1 : 1);
    }

    /// <inheritdoc/>
    protected override string Describe(FlagThing thing, SeriesHistory series, SeriesPoint point, double size, int direction, double limit) =>
        $"{thing.Words()}: the running mean was {FlagText.WithUnit(point.Ewma, series.Unit)} on orbit {point.Orbit}, {FlagText.Number(size)} σ "
        + $"{(direction > 0 ? "above" : "below")} the expected {FlagText.WithUnit(point.Expected, series.Unit)}; limit {FlagText.Number(limit)} σ.";

    /// <inheritdoc/>
    public override FalseAlarmEstimate ExpectedFalseFlags(RuleDeclaration rule, DesignContext context)
    {
        var series = context.SeriesOf(rule);
        var rate = FalseAlarmDesign.EwmaAlarms(rule["limit"], rule["lambda"], rule["correlation"]) * context.OrbitsPerMonth;
        return new(rule.Id, series, rate, rate * series, 0,
            $"crossings of a Gaussian EWMA (λ {FlagText.Number(rule["lambda"])}, correlation {FlagText.Number(rule["correlation"])}) through ±{FlagText.Number(rule["limit"])} σ");
    }
}
