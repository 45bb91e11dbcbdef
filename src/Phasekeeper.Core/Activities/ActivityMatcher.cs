using Phasekeeper.Core.Flags;

namespace Phasekeeper.Core.Activities;

/// <summary>Marks flags with the planned activities that explain them. A mark never hides a flag, lowers its severity or changes its state.</summary>
public static class ActivityMatcher
{
    /// <summary>
    /// The flag with its explanations, ordered by the activities' start. An activity explains a flag of a kind it is expected to cause that
    /// begins within it or its settling time; <see cref="Explanation.Whole"/> tells whether the flag also ends there.
    /// </summary>
    public static Flag Explain(Flag flag, IReadOnlyList<PlannedActivity> activities)
    {
        var found = new List<Explanation>();
        foreach (var activity in activities.OrderBy(a => a.From).ThenBy(a => a.Id, StringComparer.Ordinal))
        {
            var effects = ActivityEffects.Of(activity.Kind);
            var start = activity.From.AddSeconds(-effects.LeadS);
            var end = activity.To.AddSeconds(effects.SettlingS);
            if (!effects.Explains(flag) || flag.From >= end || flag.To <= start) continue;
            // Flags of whole orbits begin at the node before the activity: one orbit of grace, never more.
            var wholeOrbitStart = start.AddSeconds(-5760);
            if (flag.From < wholeOrbitStart) continue;
            found.Add(new(activity.Id, activity.Summary, flag.To <= end.AddSeconds(5760)));
        }
        return flag with { ExplainedBy = found };
    }
}
