using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>The image stepped along the rows.</summary>
public sealed class ImageShiftStepKind : RuleKind
{
    /// <inheritdoc/>
    public override string Id => "image-shift-step";
    /// <inheritdoc/>
    public override string Title => "Image stepped";
    /// <inheritdoc/>
    public override string LooksAt => "Steps that the change-point search finds in the image shift of a view: speaks when one is large and sure enough.";
    /// <inheritdoc/>
    public override string Advice => "The correction restarts at the step, so winds should hold; check lamp and scene phase across it. Repeated steps point to a loose mount or to thermal stress. Steps on board are for the mission's flight rules and its operators.";
    /// <inheritdoc/>
    public override string Unit => "samples";
    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.Steps;
    /// <inheritdoc/>
    public override RuleSelector Selector => RuleSelector.Views;

    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters =>
    [
        new("minimum", "samples", "A step of at least this size is a warning.", 0.02, 0, 100),
        new("significance", "σ", "The step must be this many times its own uncertainty.", 7, 3, 50),
        RuleParameter.Whole("pointsPerOrbit", "1", "Exposures an orbit that the search looks at; only for the expected number of false flags.", 96, 1, 10000),
    ];

    /// <inheritdoc/>
    public override int ReachOrbits(RuleDeclaration rule) => 1;

    /// <inheritdoc/>
    public override IEnumerable<Condition> Evaluate(RuleDeclaration rule, RuleInputs inputs)
    {
        foreach (var step in inputs.Steps.OrderBy(s => s.Time).ThenBy(s => s.View, StringComparer.Ordinal))
        {
            var size = Math.Abs(step.StepSamples);
            if (!rule.Watches(step.View, null) || size < rule["minimum"] || size < rule["significance"] * step.SigmaSamples) continue;
            yield return TimeCondition(rule, inputs, "image-shift", step.View, null, FlagSeverity.Warning, step.Time, step.Time, step.StepSamples,
                Math.Sign(step.StepSamples) * rule["minimum"], Unit, size / rule["minimum"],
                $"The image of view {step.View} stepped by {FlagText.Number(step.StepSamples)} ± {FlagText.Number(step.SigmaSamples)} samples at {FlagText.Moment(step.Time)}; limit {FlagText.Number(rule["minimum"])} samples.",
                winds: new(step.View, null, null, null, "exposures close to the step may carry the wrong image shift"));
        }
    }

    /// <inheritdoc/>
    public override FalseAlarmEstimate ExpectedFalseFlags(RuleDeclaration rule, DesignContext context)
    {
        var series = rule.View is null ? context.Views : 1;
        // A scan for a step tries every exposure as its place: the bound counts each as a trial of its own.
        var rate = 2 * FalseAlarmDesign.UpperTail(rule["significance"]) * rule["pointsPerOrbit"] * context.OrbitsPerMonth;
        return new(rule.Id, series, rate, rate * series, 0, $"{FlagText.Number(rule["significance"])} σ tails over every exposure as a possible place of the step");
    }
}
