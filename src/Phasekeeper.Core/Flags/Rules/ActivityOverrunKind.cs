using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>A planned activity goes on longer than planned: effects that were expected of it still stand.</summary>
public sealed class ActivityOverrunKind : RuleKind
{
    /// <summary>Id of the kind.</summary>
    public const string KindId = "activity-overrun";

    /// <inheritdoc/>
    public override string Id => KindId;
    /// <inheritdoc/>
    public override string Title => "Activity overran";
    /// <inheritdoc/>
    public override string LooksAt => "Flags that a planned activity explains, against its end and the time that its kind gives its effects to settle: speaks when one of them still stands later than that. Charts are left out, since they go on signalling; without an expected flag nothing tells that the activity goes on, and there is no overrun.";
    /// <inheritdoc/>
    public override string Advice => "Ask whoever planned the activity whether it has ended. If it was prolonged, change its end on the page Activities; if it has ended, what still stands has another cause. Switching anything is for the mission's flight rules and its operators.";
    /// <inheritdoc/>
    public override string Unit => "h";
    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.Overruns;

    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters =>
    [
        new("limit", "h", "An effect may stand this much longer than the activity's settling time; flags of whole orbits end at the next node.", Activities.ActivityMatcher.OrbitGraceS / 3600, 0, 1000),
    ];

    /// <inheritdoc/>
    public override int ReachOrbits(RuleDeclaration rule)
    {
        ArgumentNullException.ThrowIfNull(rule);
        return rule.Whole(QuietOrbits.Name) + 1;
    }

    /// <inheritdoc/>
    public override IEnumerable<Condition> Evaluate(RuleDeclaration rule, RuleInputs inputs)
    {
        ArgumentNullException.ThrowIfNull(rule);
        ArgumentNullException.ThrowIfNull(inputs);
        foreach (var activity in inputs.Overruns.GroupBy(o => o.ActivityId, StringComparer.Ordinal).OrderBy(g => g.Key, StringComparer.Ordinal))
        {
            var effects = activity.OrderBy(o => o.To).ThenBy(o => o.Effect, StringComparer.Ordinal).ToArray();
            var last = effects[^1];
            var hours = (last.To - last.SettledBy) / 3600;
            if (hours <= rule["limit"]) continue;
            var still = effects.Select(e => e.Effect).Distinct().Order(StringComparer.Ordinal).ToArray();
            yield return TimeCondition(rule, inputs, last.ActivityId, null, null, FlagSeverity.Warning, last.SettledBy, last.To, hours, rule["limit"], Unit, hours,
                $"The planned activity \"{last.Title}\" should have had no effect from {FlagText.Moment(last.SettledBy)} on, but {still[0]}{(still.Length > 1 ? $" and {FlagText.Count(still.Length - 1, "other")}" : "")} was flagged until {FlagText.Moment(last.To)}: {FlagText.Duration(last.To - last.SettledBy)} over.");
        }
    }

    /// <inheritdoc/>
    public override FalseAlarmEstimate ExpectedFalseFlags(RuleDeclaration rule, DesignContext context)
    {
        ArgumentNullException.ThrowIfNull(rule);
        return FalseAlarmEstimate.None(rule.Id, 1, "it speaks only of flags that other rules raised");
    }
}
