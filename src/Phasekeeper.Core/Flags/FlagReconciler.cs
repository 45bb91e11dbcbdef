using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags.Grouping;

namespace Phasekeeper.Core.Flags;

/// <summary>
/// Brings the stored flags of one thing in line with newly computed conditions. The standing flags that result are exactly the
/// conditions, with ids that follow from thing and first orbit: so the end does not depend on the order in which data arrived.
/// What people did is kept elsewhere and is not looked at here; a new flag says whose orbits it takes over, so that their lives go on with it (<see cref="Life.LifeAfterRules"/>).
/// </summary>
public static class FlagReconciler
{
    /// <summary>Changes to store, ordered by first orbit and id.</summary>
    /// <param name="existing">All flags of the thing (withdrawn ones included) that touch the re-evaluated stretch.</param>
    /// <param name="conditions">Joined conditions of the same thing over that stretch; each lies wholly within it.</param>
    /// <param name="activities">Planned activities around the stretch.</param>
    /// <param name="topicOf">Topic of a flag, for what activities are expected to cause; null = told by its rule alone.</param>
    /// <param name="withdrawReason">Why flags without a condition are withdrawn.</param>
    public static IReadOnlyList<FlagChange> Reconcile(IReadOnlyCollection<Flag> existing, IReadOnlyCollection<Condition> conditions,
        IReadOnlyList<PlannedActivity> activities, Func<Flag, FlagTopic>? topicOf = null, string withdrawReason = "With the data that are now there, the rule no longer finds the condition.")
    {
        var byId = existing.ToDictionary(f => f.Id, StringComparer.Ordinal);
        var standing = existing.Where(f => f.Stands).OrderBy(f => f.FirstOrbit).ThenBy(f => f.Id, StringComparer.Ordinal).ToList();
        var changes = new List<FlagChange>();
        var kept = new HashSet<string>(StringComparer.Ordinal);
        foreach (var condition in conditions.OrderBy(c => c.Thing).ThenBy(c => c.FirstOrbit))
        {
            var fresh = Flag.Of(condition);
            kept.Add(fresh.Id);
            var before = byId.GetValueOrDefault(fresh.Id);
            var after = ActivityMatcher.Explain(fresh, topicOf?.Invoke(fresh) ?? FlagTopics.Of(fresh.RuleKind, fresh.Thing.Subject, _ => null), activities, condition.Since);
            if (before is null)
            {
                string[] takesOver = [.. standing.Where(f => Overlaps(f, fresh)).Select(f => f.Id)];
                changes.Add(new(FlagChangeKind.Raise, null, after, takesOver.Length == 0 ? "The rule found the condition." : $"Carries on part of flag {takesOver[0]}: later data changed where it begins.") { TakesOver = takesOver });
            }
            else if (!before.Stands) changes.Add(new(FlagChangeKind.Reraise, before, after, "The condition is back with the data that are now there.") { TakesOver = [.. standing.Where(f => Overlaps(f, fresh)).Select(f => f.Id)] });
            else if (!before.SameAs(after)) changes.Add(new(KindOf(before, after), before, after, ReasonOf(before, after)));
        }
        foreach (var flag in standing.Where(f => !kept.Contains(f.Id)))
        {
            var heir = changes.Select(c => c.After).Concat(standing.Where(f => kept.Contains(f.Id)))
                .Where(f => f.Stands && Overlaps(f, flag)).MinBy(f => (f.FirstOrbit, f.Id));
            var gone = flag with { State = FlagState.Withdrawn, ContinuedBy = heir?.Id };
            changes.Add(heir is null
                ? new(FlagChangeKind.Withdraw, flag, gone with { WithdrawnReason = withdrawReason }, withdrawReason)
                : Joined(flag, gone, heir));
        }
        return changes.OrderBy(c => c.After.FirstOrbit).ThenBy(c => c.After.Id, StringComparer.Ordinal).ToList();
    }

    private static FlagChange Joined(Flag flag, Flag gone, Flag heir)
    {
        var reason = $"Later data show that the condition holds for {FlagText.Orbits(heir.FirstOrbit, heir.LastOrbit)}: flag {heir.Id} carries it on.";
        return new(FlagChangeKind.Merge, flag, gone with { WithdrawnReason = reason }, reason);
    }

    private static FlagChangeKind KindOf(Flag before, Flag after)
    {
        var was = before.LastOrbit - before.FirstOrbit;
        var now = after.LastOrbit - after.FirstOrbit;
        return now > was || (now == was && (after.To > before.To || after.From < before.From)) ? FlagChangeKind.Extend
            : now < was || after.To < before.To || after.From > before.From ? FlagChangeKind.Trim : FlagChangeKind.Revise;
    }

    private static string ReasonOf(Flag before, Flag after)
    {
        if (after.Severity > before.Severity) return $"Grew from {Word(before)} to {Word(after)}.";
        if (after.Severity < before.Severity) return $"Fell from {Word(before)} to {Word(after)} with the data that are now there.";
        return KindOf(before, after) switch
        {
            FlagChangeKind.Extend => $"The condition goes on: now {FlagText.Orbits(after.FirstOrbit, after.LastOrbit)}.",
            FlagChangeKind.Trim => $"The condition holds for less than it seemed: now {FlagText.Orbits(after.FirstOrbit, after.LastOrbit)}.",
            _ => "Same stretch, new numbers.",
        };
    }

    private static string Word(Flag flag) => flag.Severity.ToString().ToLowerInvariant();

    private static bool Overlaps(Flag a, Flag b) => a.FirstOrbit <= b.LastOrbit && b.FirstOrbit <= a.LastOrbit;
}
