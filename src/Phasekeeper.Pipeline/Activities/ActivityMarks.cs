using System.Data;
using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Activities;

/// <summary>Orbits that a change of the plan touches: those on which an activity that changed may explain flags, before or after, and those whose winds it makes doubtful.</summary>
/// <param name="Assess">Orbits whose flags are looked at again.</param>
/// <param name="Winds">Orbits whose winds are made again: activities are among their reasons.</param>
public sealed record ActivityMarks(IReadOnlyList<long> Assess, IReadOnlyList<long> Winds)
{
    /// <summary>Nothing is touched.</summary>
    public static ActivityMarks None { get; } = new([], []);

    /// <summary>What differs between activities before and after.</summary>
    public static ActivityMarks Of(IReadOnlyList<PlannedActivity> before, IReadOnlyList<PlannedActivity> after, Stores stores)
    {
        ArgumentNullException.ThrowIfNull(stores);
        var changed = Changed(before, after);
        return new(Orbits(stores, changed.Select(a => (a.EffectsFrom.AddSeconds(-ActivityMatcher.OrbitGraceS), a.EffectsTo))),
            Orbits(stores, changed.Where(a => a.Kind.Winds != WindDoubt.Never).Select(a => (a.From, a.To))));
    }

    /// <summary>Activities of one list that the other has not, or has otherwise; each as it is in either.</summary>
    public static IReadOnlyList<PlannedActivity> Changed(IReadOnlyList<PlannedActivity> before, IReadOnlyList<PlannedActivity> after)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        var (was, now) = (before.ToHashSet(), after.ToHashSet());
        return [.. before.Where(a => !now.Contains(a)), .. after.Where(a => !was.Contains(a))];
    }

    /// <summary>Writes the marks.</summary>
    public void Write(IDbTransaction transaction, bool withWinds, Instant now)
    {
        WorkQueue.Mark(transaction, WorkKinds.Assess, Assess, now);
        if (withWinds) WorkQueue.Mark(transaction, WorkKinds.Winds, Winds, now);
    }

    private static long[] Orbits(Stores stores, IEnumerable<(Instant From, Instant To)> stretches) =>
        [.. stretches.SelectMany(s => stores.Orbits.Touching(s.From, s.To)).Select(o => (long)o.Orbit).Distinct().Order()];
}
