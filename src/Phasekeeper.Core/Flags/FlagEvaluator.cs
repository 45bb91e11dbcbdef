using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags;

/// <summary>
/// Re-evaluates rules where data changed. The stretch looked at is the changed orbits, widened by the rule's reach and then, thing by
/// thing, until every condition and every stored flag that touches it lies wholly inside: so the result is what evaluating the whole
/// history would give, at the cost of what was touched.
/// </summary>
public static class FlagEvaluator
{
    /// <summary>Runs all enabled rules that look at data over changed orbits; changes in the order of the rules. Those that look at other rules' flags run after it, see <see cref="EvaluateAfter"/>.</summary>
    public static IReadOnlyList<FlagChange> Evaluate(RuleSet rules, int firstChanged, int lastChanged, IRuleInputSource source,
        IReadOnlyList<PlannedActivity> activities)
    {
        ArgumentNullException.ThrowIfNull(rules);
        return [.. rules.Enabled.Where(rule => !LooksAtFlags(rule)).SelectMany(rule => Evaluate(rule, firstChanged, lastChanged, source, activities))];
    }

    /// <summary>Runs the rules that look at other rules' flags, over changed orbits and those of changed flags. The source must give flags as they are after all changes of <see cref="Evaluate(RuleSet, int, int, IRuleInputSource, IReadOnlyList{PlannedActivity})"/>.</summary>
    public static IReadOnlyList<FlagChange> EvaluateAfter(RuleSet rules, int firstChanged, int lastChanged, IRuleInputSource source,
        IReadOnlyList<PlannedActivity> activities)
    {
        ArgumentNullException.ThrowIfNull(rules);
        return [.. rules.Enabled.Where(LooksAtFlags).SelectMany(rule => Evaluate(rule, firstChanged, lastChanged, source, activities))];
    }

    private static bool LooksAtFlags(RuleDeclaration rule) => RuleCatalog.Of(rule.Kind).Needs.HasFlag(RuleNeeds.Overruns);

    /// <summary>Runs one rule over changed orbits.</summary>
    public static IReadOnlyList<FlagChange> Evaluate(RuleDeclaration rule, int firstChanged, int lastChanged, IRuleInputSource source,
        IReadOnlyList<PlannedActivity> activities)
    {
        if (lastChanged < firstChanged)
            throw new ArgumentOutOfRangeException(nameof(lastChanged), lastChanged, $"The last changed orbit {lastChanged} is before the first, {firstChanged}.");
        var kind = RuleCatalog.Of(rule.Kind);
        var reach = kind.ReachOrbits(rule);
        var window = new Stretch(firstChanged - reach, lastChanged + reach);
        var conditions = Conditions(kind, rule, window, null, source);
        var flags = source.Flags(rule.Id, window.First - Join(rule), window.Last + Join(rule));
        var changes = new List<FlagChange>();
        foreach (var thing in conditions.Select(c => c.Thing).Concat(flags.Select(f => f.Thing)).Distinct().Order())
            changes.AddRange(OfThing(kind, rule, thing, window, [.. conditions.Where(c => c.Thing == thing)], [.. flags.Where(f => f.Thing == thing)], source, activities));
        return changes;
    }

    private static IReadOnlyList<FlagChange> OfThing(RuleKind kind, RuleDeclaration rule, FlagThing thing, Stretch window,
        List<Condition> conditions, List<Flag> flags, IRuleInputSource source, IReadOnlyList<PlannedActivity> activities)
    {
        var step = kind.ReachOrbits(rule) + Join(rule);
        while (true)
        {
            var wider = Widened(window, conditions, flags, rule, step, source);
            if (wider == window) break;
            window = wider;
            step *= 2;
            conditions = Conditions(kind, rule, window, thing, source);
            flags = [.. source.Flags(rule.Id, window.First - Join(rule), window.Last + Join(rule)).Where(f => f.Thing == thing)];
        }
        // Withdrawn flags outside the stretch but within join distance may be found too: they only serve to be raised again.
        return FlagReconciler.Reconcile(flags, conditions, activities, source.TopicOf);
    }

    private static int Join(RuleDeclaration rule) => rule.Whole(RuleKind.QuietOrbits.Name) + 1;

    private static Stretch Widened(Stretch window, List<Condition> conditions, List<Flag> flags, RuleDeclaration rule, int step, IRuleInputSource source)
    {
        int first = window.First, last = window.Last, join = Join(rule);
        foreach (var flag in flags.Where(f => f.Stands))
        {
            first = Math.Min(first, flag.FirstOrbit);
            last = Math.Max(last, flag.LastOrbit);
        }
        // Beyond the data there is nothing to find, so an edge there is no edge.
        foreach (var condition in conditions)
        {
            if (condition.FirstOrbit < window.First + join && window.First > source.FirstOrbit) first = Math.Min(first, Math.Min(window.First, condition.FirstOrbit) - step);
            if (condition.LastOrbit > window.Last - join && window.Last < source.LastOrbit) last = Math.Max(last, Math.Max(window.Last, condition.LastOrbit) + step);
        }
        return new(first, last);
    }

    private static List<Condition> Conditions(RuleKind kind, RuleDeclaration rule, Stretch window, FlagThing? only, IRuleInputSource source)
    {
        var reach = kind.ReachOrbits(rule);
        var inputs = source.Load(new(rule, kind.Needs, window.First - reach, window.Last + reach, only));
        return [.. ConditionJoiner.Join(
            kind.Evaluate(rule, inputs).Where(c => c.FirstOrbit <= window.Last && c.LastOrbit >= window.First && (only is null || c.Thing == only)),
            rule.Whole(RuleKind.QuietOrbits.Name))];
    }

    private readonly record struct Stretch(int First, int Last);
}
