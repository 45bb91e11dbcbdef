using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Dark current grows.</summary>
public sealed class DarkGrowthKind : GrowthKind
{
    /// <inheritdoc/>
    public override string Id => "dark-growth";
    /// <inheritdoc/>
    public override string Title => "Dark rate grew";
    /// <inheritdoc/>
    public override string LooksAt => "The dark rate at reference temperature against the coefficient set's law: speaks when it has grown by more than a limit.";
    /// <inheritdoc/>
    public override string Advice => "Radiation damage grows it slowly: propose a set with the new rate. A sudden growth points to stray light or a wrong detector temperature. An annealing bake-out is for the mission's flight rules and its operators.";
    /// <inheritdoc/>
    public override string Unit => "%";
    /// <inheritdoc/>
    public override IReadOnlyList<string> DefaultTrackers => ["dark-rate"];
    /// <inheritdoc/>
    protected override Defaults Standard => new(double.NaN, 30, double.NaN, 2, 5);
    /// <inheritdoc/>
    protected override bool Relative => true;
    /// <inheritdoc/>
    protected override WindsInDoubt Doubt(SeriesHistory series) => new(series.Key.View, series.Key.Line, null, null, "too little dark is subtracted, so weak rows are off");
}
