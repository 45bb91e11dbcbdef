using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>There are data, but no orbit or attitude file that covers them.</summary>
public sealed class CoverageMissingKind : RuleKind
{
    /// <summary>Its id.</summary>
    public const string KindId = "coverage-missing";

    /// <inheritdoc/>
    public override string Id => KindId;
    /// <inheritdoc/>
    public override string Title => "No orbit or attitude for the data";
    /// <inheritdoc/>
    public override string LooksAt => "Stretches with data outside every orbit (or attitude) file's span: speaks when one is longer than a limit, since nothing is extrapolated.";
    /// <inheritdoc/>
    public override string Advice => "Deliver a file that covers the stretch, through the inbox, the API or the upload page; products follow by themselves and the flag is withdrawn. Not for navigation: the mission's flight-dynamics team has the word on orbits.";
    /// <inheritdoc/>
    public override string Unit => "s";
    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.Coverage;

    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters =>
        [new("minimum", "s", "Stretches shorter than this are passed over.", 60, 0, 1e9)];

    /// <inheritdoc/>
    public override int ReachOrbits(RuleDeclaration rule) => rule.Whole("quietOrbits") + 1;

    /// <inheritdoc/>
    public override IEnumerable<Condition> Evaluate(RuleDeclaration rule, RuleInputs inputs)
    {
        foreach (var gap in inputs.CoverageGaps)
        {
            var seconds = gap.To - gap.From;
            if (seconds < rule["minimum"]) continue;
            yield return TimeCondition(rule, inputs, $"{gap.What} coverage", null, null, FlagSeverity.Warning, gap.From, gap.To, seconds, rule["minimum"], Unit, seconds,
                $"No {gap.What} file covers the data from {FlagText.Moment(gap.From)} to {FlagText.Moment(gap.To)} ({FlagText.Duration(seconds)}).",
                winds: new(null, null, null, null, gap.What == "attitude" ? "there is no direction of the look to compute them with" : "there is no position to compute them with"));
        }
    }

    /// <inheritdoc/>
    public override FalseAlarmEstimate ExpectedFalseFlags(RuleDeclaration rule, DesignContext context) =>
        FalseAlarmEstimate.None(rule.Id, 1, "its ground is a fact about the files, not a noisy number");
}
