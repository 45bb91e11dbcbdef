using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Any tracker against fixed limits: the size of its departure from what is expected (or from zero).</summary>
public sealed class TrackerLimitKind : SeriesLimitKind
{
    /// <inheritdoc/>
    public override string Id => "tracker-limit";
    /// <inheritdoc/>
    public override string Title => "Tracker beyond a limit";
    /// <inheritdoc/>
    public override string LooksAt => "A tracker's value on each orbit: speaks when it departs from its expected value (zero where none is known) by more than a limit, on so many orbits in a row.";
    /// <inheritdoc/>
    public override string Advice => "Read the tracker's own advice, look at what changed on the first orbit of the flag, and compare the other view and line. What is done on board is for the mission's flight rules and its operators to decide.";
    /// <inheritdoc/>
    protected override Defaults Standard => new(double.NaN, double.NaN, double.NaN, 2, 1, TwoSided: true, Provisional: false);

    /// <inheritdoc/>
    protected override double Measure(RuleDeclaration rule, SeriesHistory series, int i)
    {
        var p = series.Points[i];
        return Math.Abs(double.IsFinite(p.Expected) ? p.Value - p.Expected : p.Value);
    }

    /// <inheritdoc/>
    protected override string Describe(FlagThing thing, SeriesHistory series, SeriesPoint point, double measure, double limit, string unit)
    {
        var expected = double.IsFinite(point.Expected) ? point.Expected : 0;
        return $"{thing.Words()} was {FlagText.WithUnit(point.Value, unit)} on orbit {point.Orbit}: {FlagText.WithUnit(measure, unit)} from the expected "
            + $"{FlagText.WithUnit(expected, unit)}, limit {FlagText.WithUnit(limit, unit)}.";
    }
}
