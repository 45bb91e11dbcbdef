using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>The coefficient set in force is old.</summary>
public sealed class StaleCoefficientsKind : OrbitFactKind
{
    /// <inheritdoc/>
    public override string Id => "stale-coefficients";
    /// <inheritdoc/>
    public override string Title => "Coefficients are old";
    /// <inheritdoc/>
    public override string LooksAt => "Days since the validity start (or last confirmation) of the coefficient set in force: speaks when there are too many.";
    /// <inheritdoc/>
    public override string Advice => "Compare the set with the trackers of the last weeks: confirm it, or propose a new one. Approval is for the people whom the mission names.";
    /// <inheritdoc/>
    public override string Unit => "days";
    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.None;
    /// <inheritdoc/>
    protected override string Subject => "coefficients";
    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters => TwoLimits(60, 120, 36500);

    /// <inheritdoc/>
    protected override IEnumerable<Fact> Facts(RuleDeclaration rule, RuleInputs inputs)
    {
        foreach (var use in inputs.Coefficients)
            if (inputs.Orbits.Of(use.Orbit) is not null)
                yield return new(use.Orbit, use.AgeDays, null, null, limit =>
                    $"The coefficient set '{use.Set}' was {FlagText.Number(use.AgeDays)} days old on orbit {use.Orbit}; limit {FlagText.Number(limit)} days.");
    }
}
