using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Lamp exposures are missing: the drift correction rests on the model alone.</summary>
public sealed class LampMissingKind : OrbitFactKind
{
    /// <inheritdoc/>
    public override string Id => "lamp-missing";
    /// <inheritdoc/>
    public override string Title => "Lamp exposures missing";
    /// <inheritdoc/>
    public override string LooksAt => "Lamp exposures received against those that the cadence calls for, per view and line: speaks when too many are missing.";
    /// <inheritdoc/>
    public override string Advice => "Where the whole orbit is missing ask for a replay; where scenes arrived but lamps did not, look at the lamp's telemetry. Switching the lamp is for the mission's flight rules and its operators.";
    /// <inheritdoc/>
    public override string Unit => "%";
    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.Lamps;
    /// <inheritdoc/>
    public override RuleSelector Selector => RuleSelector.Views;
    /// <inheritdoc/>
    protected override string Subject => "lamp exposures";
    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters => TwoLimits(25, 75, 100);
    /// <inheritdoc/>
    protected override WindsInDoubt Doubt(Fact fact) => new(fact.View, fact.Line, null, null, "the drift correction rests on the thermal model alone");

    /// <inheritdoc/>
    protected override IEnumerable<Fact> Facts(RuleDeclaration rule, RuleInputs inputs)
    {
        foreach (var lamp in inputs.Lamps)
            if (!lamp.Open && lamp.Expected > 0)
                yield return new(lamp.Orbit, 100.0 * (lamp.Expected - lamp.Received) / lamp.Expected, lamp.View, lamp.Line, limit =>
                    $"{lamp.Received} of {FlagText.Count(lamp.Expected, "lamp exposure")} of view {lamp.View}, {lamp.Line}, arrived on orbit {lamp.Orbit}; limit {FlagText.Number(limit)} % missing.");
    }
}
