using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>The lamp dims.</summary>
public sealed class LampLossKind : RelativeDropKind
{
    /// <inheritdoc/>
    public override string Id => "lamp-loss";
    /// <inheritdoc/>
    public override string Title => "Lamp brightness lost";
    /// <inheritdoc/>
    public override string LooksAt => "Lamp signal relative to the coefficient set's reference: speaks when the drop is larger than a limit.";
    /// <inheritdoc/>
    public override string Advice => "If all views and lines fell together it is the lamp, else the path to one of them. Slow ageing calls for new references; a sudden loss for a look at lamp current and temperature. Changing lamp settings is for the mission's flight rules and its operators.";
    /// <inheritdoc/>
    public override IReadOnlyList<string> DefaultTrackers => ["lamp-brightness"];
    /// <inheritdoc/>
    protected override Defaults Standard => new(double.NaN, 12, 60, 2, 1.5);
    /// <inheritdoc/>
    protected override WindsInDoubt Doubt(SeriesHistory series) =>
        new(series.Key.View, series.Key.Line, null, null, "the lamp's phases, which carry the drift correction, are noisier");
}
