using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Scene phases moved against those of recent orbits.</summary>
public sealed class PhaseResidualKind : SeriesLimitKind
{
    /// <inheritdoc/>
    public override string Id => "phase-residual";
    /// <inheritdoc/>
    public override string Title => "Scene phase moved";
    /// <inheritdoc/>
    public override string LooksAt => "The orbit's median of corrected scene phase, as a wind speed against the previous orbits: speaks when it departs further than winds do.";
    /// <inheritdoc/>
    public override string Advice => "If both views moved by the same amount suspect attitude (yaw) or the orbit file, if one view suspects its optics or image shift; winds themselves rarely move a whole orbit. Attitude changes are for the mission's flight rules and its operators.";
    /// <inheritdoc/>
    public override string Unit => "m/s";
    /// <inheritdoc/>
    public override IReadOnlyList<string> DefaultTrackers => ["scene-phase-residual"];
    /// <inheritdoc/>
    // Orbit medians of wind scatter by some 6 m/s and follow one another (chosen from the wind's daily variability).
    protected override Defaults Standard => new(double.NaN, 35, double.NaN, 2, 6, DesignCorrelation: 0.5, TwoSided: true, Provisional: false);

    /// <inheritdoc/>
    protected override double Measure(RuleDeclaration rule, SeriesHistory series, int i)
    {
        var p = series.Points[i];
        return Math.Abs(double.IsFinite(p.Expected) ? p.Value - p.Expected : p.Value);
    }

    /// <inheritdoc/>
    protected override WindsInDoubt Doubt(SeriesHistory series) =>
        new(series.Key.View, series.Key.Line, null, null, "the zero of the speed may have moved");

    /// <inheritdoc/>
    protected override string Describe(FlagThing thing, SeriesHistory series, SeriesPoint point, double measure, double limit, string unit) =>
        $"{thing.Words()} departed by {FlagText.WithUnit(measure, unit)} on orbit {point.Orbit}; limit {FlagText.WithUnit(limit, unit)}.";
}
