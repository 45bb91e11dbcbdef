using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>The thermal correction did not hold: lamp phases leave the approved model.</summary>
public sealed class ThermalResidualKind : SeriesLimitKind
{
    /// <inheritdoc/>
    public override string Id => "thermal-residual";
    /// <inheritdoc/>
    public override string Title => "Thermal correction did not hold";
    /// <inheritdoc/>
    public override string LooksAt => "The rms of lamp phase minus the approved thermal model over an orbit, as a wind speed: speaks when it is larger than a limit.";
    /// <inheritdoc/>
    public override string Advice => "Compare temperatures and heaters of the orbit with those before; if the swing is normal, the thermal slope or lag has drifted and a new coefficient set should be proposed. Heater and power changes on board are for the mission's flight rules and its operators.";
    /// <inheritdoc/>
    public override string Unit => "m/s";
    /// <inheritdoc/>
    public override IReadOnlyList<string> DefaultTrackers => ["thermal-residual-wind"];
    /// <inheritdoc/>
    protected override Defaults Standard => new(double.NaN, 10, 40, 1, 0.7, DesignMean: 2);

    /// <inheritdoc/>
    protected override double Measure(RuleDeclaration rule, SeriesHistory series, int i) => series.Points[i].Value;

    /// <inheritdoc/>
    protected override WindsInDoubt Doubt(SeriesHistory series) =>
        new(series.Key.View, series.Key.Line, null, null, "the optical drift between lamp exposures is not what the thermal model says");

    /// <inheritdoc/>
    protected override string Describe(FlagThing thing, SeriesHistory series, SeriesPoint point, double measure, double limit, string unit) =>
        $"The thermal correction left {FlagText.WithUnit(measure, unit)} (rms) on orbit {point.Orbit}{thing.Where()}; limit {FlagText.WithUnit(limit, unit)}.";
}
