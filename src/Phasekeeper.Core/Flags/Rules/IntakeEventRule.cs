using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Base of the kinds that speak of what intake noticed: events are gathered per orbit and subject.</summary>
public abstract class IntakeEventRule : RuleKind
{
    /// <summary>Which events.</summary>
    protected abstract IntakeEventKind Event { get; }
    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.Events;

    /// <summary>Value, limit, severity and sentence of one orbit's events of one subject; null = not worth a flag.</summary>
    protected abstract (double Value, double Limit, FlagSeverity Severity, string Text)? Judge(RuleDeclaration rule, int orbit, string subject, IReadOnlyList<IntakeEvent> events);

    /// <summary>Winds in doubt; null = none.</summary>
    protected virtual WindsInDoubt? Doubt => null;

    /// <inheritdoc/>
    public override int ReachOrbits(RuleDeclaration rule) => rule.Whole("quietOrbits") + 1;

    /// <inheritdoc/>
    public override IEnumerable<Condition> Evaluate(RuleDeclaration rule, RuleInputs inputs)
    {
        var groups = inputs.Events.Where(e => e.Kind == Event).GroupBy(e => (Orbit: inputs.OrbitAt(e.Time).Number, e.Subject))
            .OrderBy(g => g.Key.Orbit).ThenBy(g => g.Key.Subject, StringComparer.Ordinal);
        foreach (var group in groups)
        {
            var events = group.OrderBy(e => e.Time).ThenBy(e => e.Detail, StringComparer.Ordinal).ThenBy(e => e.AmountS).ThenBy(e => e.Count).ToList();
            if (Judge(rule, group.Key.Orbit, group.Key.Subject, events) is not { } verdict) continue;
            yield return TimeCondition(rule, inputs, group.Key.Subject, null, null, verdict.Severity, events[0].Time, events[^1].Time, verdict.Value, verdict.Limit, Unit,
                Math.Abs(verdict.Value), verdict.Text, winds: Doubt);
        }
    }

    /// <summary>"3 × checksum, 1 × no container".</summary>
    protected static string Reasons(IReadOnlyList<IntakeEvent> events) => string.Join(", ", events.Where(e => e.Detail.Length > 0)
        .GroupBy(e => e.Detail, StringComparer.Ordinal).OrderBy(g => g.Key, StringComparer.Ordinal).Select(g => $"{g.Sum(e => e.Count)} × {g.Key}"));

    /// <inheritdoc/>
    public override FalseAlarmEstimate ExpectedFalseFlags(RuleDeclaration rule, DesignContext context) =>
        FalseAlarmEstimate.None(rule.Id, 1, "its ground is a fact about the packets, not a noisy number");
}
