using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>More samples of the detector are hot.</summary>
public sealed class HotSampleGrowthKind : GrowthKind
{
    /// <inheritdoc/>
    public override string Id => "hot-sample-growth";
    /// <inheritdoc/>
    public override string Title => "Hot samples grew";
    /// <inheritdoc/>
    public override string LooksAt => "The number of samples whose dark rate is over the threshold: speaks when it exceeds the expected number by more than a limit.";
    /// <inheritdoc/>
    public override string Advice => "Propose a coefficient set whose map masks the new hot samples; winds of rows with many of them lose weight until then. Temperature changes of the detector are for the mission's flight rules and its operators.";
    /// <inheritdoc/>
    public override string Unit => "samples";
    /// <inheritdoc/>
    public override IReadOnlyList<string> DefaultTrackers => ["hot-samples"];
    /// <inheritdoc/>
    protected override Defaults Standard => new(15, double.NaN, double.NaN, 2, 3);
    /// <inheritdoc/>
    protected override bool Relative => false;
}
