using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Activities;

/// <summary>An expected effect of an activity that still stands after the time that it was given.</summary>
/// <param name="ActivityId">The activity.</param>
/// <param name="Title">Its title.</param>
/// <param name="SettledBy">When its effects should have been over.</param>
/// <param name="To">End of the effect so far.</param>
/// <param name="Effect">What stands: the flag's thing in words.</param>
public sealed record ActivityOverrun(string ActivityId, string Title, Instant SettledBy, Instant To, string Effect)
{
    /// <summary>
    /// Overruns that standing flags tell, by activity and effect. A chart tells none: it gathers past values and goes on signalling after they are well again. Where nothing that was
    /// expected of an activity was flagged, telemetry cannot tell that it goes on, and there is no overrun.
    /// </summary>
    /// <param name="flags">Flags, with what explains them, in any order.</param>
    /// <param name="activities">The activities.</param>
    public static IReadOnlyList<ActivityOverrun> Of(IEnumerable<Flag> flags, IReadOnlyList<PlannedActivity> activities)
    {
        ArgumentNullException.ThrowIfNull(flags);
        var byId = activities.GroupBy(a => a.Id, StringComparer.Ordinal).ToDictionary(g => g.Key, g => g.First(), StringComparer.Ordinal);
        return [.. flags.Where(f => f.Stands && f.RuleKind != "drift")
            .SelectMany(f => f.ExplainedBy.Where(e => !e.Whole && byId.ContainsKey(e.ActivityId)).Select(e => (Flag: f, Activity: byId[e.ActivityId])))
            .Where(p => p.Flag.To > p.Activity.EffectsTo)
            .Select(p => new ActivityOverrun(p.Activity.Id, p.Activity.Summary, p.Activity.EffectsTo, p.Flag.To, p.Flag.Thing.Words()))
            .OrderBy(o => o.ActivityId, StringComparer.Ordinal).ThenBy(o => o.To).ThenBy(o => o.Effect, StringComparer.Ordinal)];
    }
}
