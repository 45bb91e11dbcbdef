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
    /// <summary>
    /// Runs all rules that look at data over changed orbits, each orbit by the version that judges it; changes in the order of the rules. Those that look at other rules' flags run after it, see <see cref="EvaluateAfter"/>.
    /// </summary>
    public static IReadOnlyList<FlagChange> Evaluate(RuleTimeline rules, int firstChanged, int lastChanged, IRuleInputSource source,
        IReadOnlyList<PlannedActivity> activities) => Evaluate(rules, firstChanged, lastChanged, source, activities, ofFlags: false);

    /// <summary>
    /// Runs the rules that look at other rules' flags, over changed orbits and those of changed flags. The source must give flags as they are after all changes of <see cref="Evaluate(RuleTimeline, int, int, IRuleInputSource, IReadOnlyList{PlannedActivity})"/>.
    /// </summary>
    public static IReadOnlyList<FlagChange> EvaluateAfter(RuleTimeline rules, int firstChanged, int lastChanged, IRuleInputSource source,
        IReadOnlyList<PlannedActivity> activities) => Evaluate(rules, firstChanged, lastChanged, source, activities, ofFlags: true);

    private static IReadOnlyList<FlagChange> Evaluate(RuleTimeline rules, int firstChanged, int lastChanged, IRuleInputSource source, IReadOnlyList<PlannedActivity> activities, bool ofFlags)
    {
        ArgumentNullException.ThrowIfNull(rules);
        return [.. rules.RuleIds.Select(id => (Id: id, Stretches: rules.Of(id))).Where(r => LooksAtFlags(r.Stretches) == ofFlags)
            .SelectMany(r => Evaluate(rules, r.Id, r.Stretches, firstChanged, lastChanged, source, activities))];
    }

    // With all its stretches, whatever kind some version gave it: one pass judges the flags of one rule.
    private static bool LooksAtFlags(IReadOnlyList<RuleStretch> stretches) => stretches.Any(s => s.Rule is { } rule && RuleCatalog.Of(rule.Kind).Needs.HasFlag(RuleNeeds.Overruns));

    private static IEnumerable<FlagChange> Evaluate(RuleTimeline rules, string id, IReadOnlyList<RuleStretch> stretches, int firstChanged, int lastChanged, IRuleInputSource source, IReadOnlyList<PlannedActivity> activities)
    {
        // A rule that never changed: as ever.
        if (stretches is [{ } only])
            return only.Rule is { } rule ? Evaluate(rule, firstChanged, lastChanged, source, activities)
                : rules.RanOnlyBefore(id) ? Retire(id, only with { FirstOrbit = rules.Newest.FirstOrbit, Version = rules.Newest.Number }, firstChanged, lastChanged, new(source, only), activities) : [];
        return stretches.Where(s => s.LastOrbit >= firstChanged).SelectMany(s =>
        {
            // Data before a stretch reach into it by baselines and by conditions that begin before it: all that crosses its first orbit.
            var (first, last) = (Math.Max(firstChanged, s.FirstOrbit), Math.Min(Math.Max(lastChanged, s.FirstOrbit), s.LastOrbit));
            var seen = new StretchSource(source, s);
            return s.Rule is null ? Retire(id, s, first, last, seen, activities) : TakeOver(Evaluate(s.Rule, first, last, seen, activities, s), s, source);
        });
    }

    // Where a version takes a rule out, its flags that begin there go; those that began before stay, cut where it ends.
    private static IReadOnlyList<FlagChange> Retire(string rule, RuleStretch stretch, int first, int last, StretchSource source, IReadOnlyList<PlannedActivity> activities) =>
        FlagReconciler.Reconcile([.. source.Flags(rule, first, last)], [], activities, source.TopicOf, $"Version {stretch.Version} of the rules, in force from orbit {stretch.FirstOrbit} on, does not run this rule.");

    // What people did with a flag that ends where another version begins goes on with the one that begins there.
    private static IEnumerable<FlagChange> TakeOver(IReadOnlyList<FlagChange> changes, RuleStretch stretch, IRuleInputSource source)
    {
        var join = Join(stretch.Rule!);
        foreach (var change in changes)
        {
            var flag = change.After;
            if (stretch.FirstOrbit == int.MinValue || change.Kind is not (FlagChangeKind.Raise or FlagChangeKind.Reraise) || flag.FirstOrbit - join >= stretch.FirstOrbit) { yield return change; continue; }
            var former = source.Flags(flag.Thing.Rule, flag.FirstOrbit - join, stretch.FirstOrbit - 1).Where(f => f.Stands && f.Thing == flag.Thing && f.FirstOrbit < stretch.FirstOrbit)
                .OrderBy(f => f.FirstOrbit).Select(f => f.Id).ToArray();
            yield return former.Length == 0 ? change : change with { TakesOver = [.. change.TakesOver, .. former], Reason = $"Version {stretch.Version} of the rules, in force from orbit {stretch.FirstOrbit} on, carries on flag {former[^1]}." };
        }
    }

    /// <summary>Runs one rule over changed orbits.</summary>
    public static IReadOnlyList<FlagChange> Evaluate(RuleDeclaration rule, int firstChanged, int lastChanged, IRuleInputSource source,
        IReadOnlyList<PlannedActivity> activities) => Evaluate(rule, firstChanged, lastChanged, source, activities, null);

    private static IReadOnlyList<FlagChange> Evaluate(RuleDeclaration rule, int firstChanged, int lastChanged, IRuleInputSource source,
        IReadOnlyList<PlannedActivity> activities, RuleStretch? within)
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
            changes.AddRange(OfThing(kind, rule, thing, window, [.. conditions.Where(c => c.Thing == thing)], [.. flags.Where(f => f.Thing == thing)], source, activities, within));
        return changes;
    }

    private static IReadOnlyList<FlagChange> OfThing(RuleKind kind, RuleDeclaration rule, FlagThing thing, Stretch window,
        List<Condition> conditions, List<Flag> flags, IRuleInputSource source, IReadOnlyList<PlannedActivity> activities, RuleStretch? within)
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
        if (within is null) return FlagReconciler.Reconcile(flags, conditions, activities, source.TopicOf);
        // Of calendars a rule of coverage sees more orbits than those with data.
        var orbits = conditions.Count == 0 ? new Inputs.OrbitMap([])
            : source.Load(new(rule, kind.Needs == Inputs.RuleNeeds.Coverage ? kind.Needs : Inputs.RuleNeeds.None, Math.Max(window.First, within.FirstOrbit), window.Last, thing)).Orbits;
        return FlagReconciler.Reconcile(flags, [.. conditions.Select(c => Within(c, within, orbits)).OfType<Condition>()], activities, source.TopicOf,
            $"Version {within.Version} of the rules, which judges these orbits, does not find the condition.");
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

    // The part of a condition that a version judges; null when there is none. Value and sentence stay those of the worst point of the whole condition, and the sentence says since when it is judged so.
    private static Condition? Within(Condition c, RuleStretch stretch, Inputs.OrbitMap orbits)
    {
        if (c.LastOrbit < stretch.FirstOrbit || c.FirstOrbit > stretch.LastOrbit) return null;
        if (c.FirstOrbit >= stretch.FirstOrbit && c.LastOrbit <= stretch.LastOrbit) return c;
        var own = orbits.Spans.Where(o => o.Number >= Math.Max(c.FirstOrbit, stretch.FirstOrbit) && o.Number <= Math.Min(c.LastOrbit, stretch.LastOrbit)).ToArray();
        if (own.Length == 0) return null;
        var (first, last) = (own[0], own[^1]);
        return c with
        {
            FirstOrbit = first.Number,
            LastOrbit = last.Number,
            From = c.From > first.Start ? c.From : first.Start,
            Since = c.FirstOrbit < first.Number ? c.From : null,
            To = c.To < last.End ? c.To : last.End,
            Text = c.FirstOrbit < first.Number ? $"{c.Text} Holds since orbit {c.FirstOrbit}; judged so since orbit {first.Number}." : c.Text,
        };
    }

    private readonly record struct Stretch(int First, int Last);
}
