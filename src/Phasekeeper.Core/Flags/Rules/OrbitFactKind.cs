using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Base of the kinds whose ground is a fact about an orbit's data (missing, late, old), not a noisy number: no false flags by design.</summary>
public abstract class OrbitFactKind : RuleKind
{
    /// <summary>One judged orbit: a measure, larger is worse.</summary>
    /// <param name="Orbit">Orbit.</param>
    /// <param name="Measure">Measure in the kind's unit.</param>
    /// <param name="View">View, or null.</param>
    /// <param name="Line">Line, or null.</param>
    /// <param name="Text">The sentence, the limit to be put in for {0}.</param>
    protected sealed record Fact(int Orbit, double Measure, string? View, string? Line, Func<double, string> Text);

    /// <summary>Subject of the flags.</summary>
    protected abstract string Subject { get; }
    /// <summary>Winds in doubt; null = none.</summary>
    protected virtual WindsInDoubt? Doubt(Fact fact) => null;
    /// <summary>The orbits' facts.</summary>
    protected abstract IEnumerable<Fact> Facts(RuleDeclaration rule, RuleInputs inputs);

    /// <summary>The two limits: a notice and a warning.</summary>
    protected RuleParameter[] TwoLimits(double notice, double warning, double max) =>
    [
        new("noticeLimit", Unit, "Above this the orbit is a notice; absent: no notices.", notice, 0, max),
        new("warningLimit", Unit, "Above this the orbit is a warning; absent: no warnings.", warning, 0, max),
    ];

    /// <inheritdoc/>
    public override int ReachOrbits(RuleDeclaration rule) => rule.Whole("quietOrbits") + 1;

    /// <inheritdoc/>
    public override IEnumerable<Condition> Evaluate(RuleDeclaration rule, RuleInputs inputs)
    {
        foreach (var fact in Facts(rule, inputs))
        {
            if (!rule.Watches(fact.View, fact.Line)) continue;
            var (severity, limit) = fact.Measure > rule["warningLimit"] ? (FlagSeverity.Warning, rule["warningLimit"])
                : fact.Measure > rule["noticeLimit"] ? (FlagSeverity.Notice, rule["noticeLimit"]) : (FlagSeverity.Notice, double.NaN);
            if (double.IsNaN(limit)) continue;
            yield return OrbitCondition(rule, inputs, Subject, fact.View, fact.Line, severity, fact.Orbit, fact.Orbit, fact.Orbit, fact.Measure, limit, Unit,
                fact.Measure / Math.Max(limit, 1e-9), fact.Text(limit), winds: Doubt(fact));
        }
    }

    /// <inheritdoc/>
    public override IEnumerable<string> Check(RuleDeclaration rule)
    {
        if (double.IsNaN(rule["noticeLimit"]) && double.IsNaN(rule["warningLimit"])) yield return "no limit is set; expected noticeLimit or warningLimit";
        if (rule["warningLimit"] < rule["noticeLimit"])
            yield return $"the warning limit {FlagText.Number(rule["warningLimit"])} is below the notice limit {FlagText.Number(rule["noticeLimit"])}; expected rising limits";
    }

    /// <inheritdoc/>
    public override FalseAlarmEstimate ExpectedFalseFlags(RuleDeclaration rule, DesignContext context) =>
        FalseAlarmEstimate.None(rule.Id, 1, "its ground is a fact about the data, not a noisy number");
}
