using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>A stretch without any packet.</summary>
public sealed class DataGapKind : OrbitFactKind
{
    /// <inheritdoc/>
    public override string Id => "data-gap";
    /// <inheritdoc/>
    public override string Title => "Gap in the data";
    /// <inheritdoc/>
    public override string LooksAt => "The longest stretch without any packet that touches an orbit: speaks when it is longer than a limit. The orbit in which it ends counts it from its beginning, up to 15 orbits back; the one in which it begins, up to the orbit's end.";
    /// <inheritdoc/>
    public override string Advice => "Ask for a replay of the downlink; winds soon after the gap start without the temperatures' past and carry that uncertainty. Downlink requests follow the mission's flight rules.";
    /// <inheritdoc/>
    public override string Unit => "s";
    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.Arrivals;
    /// <inheritdoc/>
    protected override string Subject => "packets";
    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters => TwoLimits(300, 1800, 1e9);
    /// <inheritdoc/>
    protected override WindsInDoubt Doubt(Fact fact) => new(null, null, null, null, "the thermal lag starts anew after the gap");

    /// <inheritdoc/>
    protected override IEnumerable<Fact> Facts(RuleDeclaration rule, RuleInputs inputs)
    {
        foreach (var a in inputs.Arrivals)
            if (!a.Open && double.IsFinite(a.LongestGapS))
                yield return new(a.Orbit, a.LongestGapS, null, null, limit =>
                    $"No packet for {FlagText.Duration(a.LongestGapS)} at orbit {a.Orbit}; limit {FlagText.Duration(limit)}.");
    }
}
