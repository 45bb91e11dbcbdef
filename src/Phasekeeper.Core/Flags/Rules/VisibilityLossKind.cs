using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Fringes lost contrast.</summary>
public sealed class VisibilityLossKind : RelativeDropKind
{
    /// <inheritdoc/>
    public override string Id => "visibility-loss";
    /// <inheritdoc/>
    public override string Title => "Fringe visibility lost";
    /// <inheritdoc/>
    public override string LooksAt => "Scene and lamp visibility relative to the coefficient set's reference: speaks when the drop is larger than a limit.";
    /// <inheritdoc/>
    public override string Advice => "If scene and lamp fell together suspect focus, temperature gradients or contamination; if only the scene, stray light. A bake-out or any other step on board is for the mission's flight rules and its operators.";
    /// <inheritdoc/>
    public override IReadOnlyList<string> DefaultTrackers => ["scene-visibility", "lamp-visibility"];
    /// <inheritdoc/>
    protected override Defaults Standard => new(double.NaN, 8, 40, 2, 1.2);
    /// <inheritdoc/>
    protected override WindsInDoubt Doubt(SeriesHistory series) =>
        new(series.Key.View, series.Key.Line, null, null, "phases are noisier, and stray light may pull them");
}
