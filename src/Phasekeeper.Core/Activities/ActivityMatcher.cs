using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Grouping;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Activities;

/// <summary>Marks flags with the planned activities around them. A mark never hides a flag, lowers its severity or changes its state.</summary>
public static class ActivityMatcher
{
    /// <summary>
    /// Flags of whole orbits begin at the node before what they are about and end at the node after: so much may a flag lie over an activity's times, s
    /// (chosen: one orbit of 96 min, never more).
    /// </summary>
    public const double OrbitGraceS = 5760;

    /// <summary>
    /// The flag with its marks, ordered by the activities' start. An activity explains a flag of a topic that it is expected to cause and that
    /// begins within it or its settling time; <see cref="Explanation.Whole"/> tells whether the flag also ends there. A flag of another topic that begins while it runs
    /// is only said to lie <see cref="Flag.During"/> it. A flag about an activity (an overrun) lies during that one.
    /// </summary>
    /// <param name="flag">The flag.</param>
    /// <param name="topic">Its topic.</param>
    /// <param name="activities">Planned activities, in any order.</param>
    /// <param name="began">When its condition began, where an earlier version of the rules judges the first part of it; null = with the flag. A new version of a rule takes no mark away.</param>
    public static Flag Explain(Flag flag, FlagTopic topic, IReadOnlyList<PlannedActivity> activities, Instant? began = null)
    {
        ArgumentNullException.ThrowIfNull(flag);
        var from = began ?? flag.From;
        var (explained, during) = (new List<Explanation>(), new List<Explanation>());
        foreach (var activity in activities.OrderBy(a => a.From).ThenBy(a => a.Id, StringComparer.Ordinal))
        {
            if (topic == FlagTopic.Activity)
            {
                if (activity.Id == flag.Thing.Subject) during.Add(new(activity.Id, activity.Summary, false));
                continue;
            }
            var expected = activity.ExpectedTopics.Contains(topic);
            var (start, end) = (activity.EffectsFrom, expected ? activity.EffectsTo : activity.To);
            if (from >= end || flag.To <= start || from < start.AddSeconds(-OrbitGraceS)) continue;
            (expected ? explained : during).Add(new(activity.Id, activity.Summary, flag.To <= end.AddSeconds(OrbitGraceS)));
        }
        return flag with { ExplainedBy = explained, During = during.Count == 0 ? [] : during };
    }
}
