using Phasekeeper.Core.Activities;

namespace Phasekeeper.Core.Flags;

/// <summary>
/// One round of all rules over orbits that changed: first the rules that look at data, then those that look at the flags of the others, over the orbits that changed and those of every flag that did and that an activity explains in part.
/// </summary>
public static class FlagRound
{
    // Chosen: neighbouring orbits are evaluated together; those further apart by themselves, so that a late orbit does not re-evaluate everything since.
    private const int ApartOrbits = 20;

    /// <summary>Changes to store, each flag once; those of rules about flags last.</summary>
    /// <param name="rules">The versions of the rules.</param>
    /// <param name="changed">Orbits that changed, in any order.</param>
    /// <param name="source">Data and flags as stored.</param>
    /// <param name="after">The source as it will be when some changes are stored.</param>
    /// <param name="activities">Planned activities.</param>
    public static IReadOnlyList<FlagChange> Run(RuleTimeline rules, IReadOnlyCollection<int> changed, IRuleInputSource source, Func<IReadOnlyList<FlagChange>, IRuleInputSource> after, IReadOnlyList<PlannedActivity> activities)
    {
        ArgumentNullException.ThrowIfNull(rules);
        ArgumentNullException.ThrowIfNull(after);
        var first = LastOfEach(Stretches(changed).SelectMany(s => FlagEvaluator.Evaluate(rules, s.First, s.Last, source, activities)));
        // Only what an activity explains in part can be an overrun; a flag may be years long.
        var orbits = changed.Concat(first.SelectMany(c => new[] { c.Before, c.After }).OfType<Flag>().Where(f => f.ExplainedBy.Any(e => !e.Whole)).SelectMany(f => Enumerable.Range(f.FirstOrbit, f.LastOrbit - f.FirstOrbit + 1)));
        var then = after(first);
        return [.. first, .. LastOfEach(Stretches(orbits).SelectMany(s => FlagEvaluator.EvaluateAfter(rules, s.First, s.Last, then, activities)))];
    }

    // Two stretches may widen to the same flag; each sees all of it, so either change is right.
    private static FlagChange[] LastOfEach(IEnumerable<FlagChange> changes) => [.. changes.GroupBy(c => c.After.Id, StringComparer.Ordinal).Select(g => g.Last())];

    private static IEnumerable<(int First, int Last)> Stretches(IEnumerable<int> changed)
    {
        var orbits = changed.Distinct().Order().ToArray();
        for (var i = 0; i < orbits.Length;)
        {
            var first = orbits[i];
            var last = first;
            for (; i < orbits.Length && orbits[i] - last <= ApartOrbits; i++) last = orbits[i];
            yield return (first, last);
        }
    }
}
