namespace Phasekeeper.Core.Flags.Grouping;

/// <summary>
/// Groups flags of one likely cause. Every flag looks for one flag that it follows from: a known chain (<see cref="KnownChains"/>) whose cause shares orbits with its start, of the same view and line where both
/// have one; else, a chart, the flag of the same quantity; else the flag of its own rule, or of its own topic, that began with it. So groups are trees, and their root is the likely first cause. A long flag gathers what begins within it, but never ties two causes together, since each
/// effect follows from one. The result depends on the flags alone, not on their order; it takes one pass over them.
/// </summary>
public static class FlagGrouper
{
    /// <summary>Flags of one rule that begin within so many orbits go together (chosen: baselines let views and lines speak an orbit or two apart).</summary>
    public const int SiblingOrbits = 2;

    /// <summary>A chart may speak so many orbits after what it charts has changed (chosen: EWMA and CUSUM gather a step of a few σ within half a day of orbits).</summary>
    public const int ChartLagOrbits = 8;

    /// <summary>The groups, in the order of their first flag's start. Every flag is in exactly one.</summary>
    public static IReadOnlyList<FlagGroup> Of(IEnumerable<GroupedFlag> flags)
    {
        ArgumentNullException.ThrowIfNull(flags);
        var sorted = flags.OrderBy(f => f.FirstOrbit).ThenBy(f => f.Topic).ThenBy(f => f.Charted).ThenBy(f => f.From).ThenBy(f => f.Id, StringComparer.Ordinal).ToArray();
        var sweep = new Sweep();
        var groups = new List<Tree>();
        var treeOf = new Dictionary<string, Tree>(StringComparer.Ordinal);
        var byActivity = new Dictionary<string, Tree>(StringComparer.Ordinal);
        foreach (var flag in sorted)
        {
            var (parent, reason) = sweep.CauseOf(flag);
            Tree tree;
            if (flag.Activity is { } activity)
            {
                if (!byActivity.TryGetValue(activity.ActivityId, out tree!))
                {
                    byActivity[activity.ActivityId] = tree = new Tree(activity.Summary);
                    groups.Add(tree);
                }
                tree.Members.Add(new(flag.Id, null, flag.Topic == FlagTopic.Activity ? $"It says that the planned activity \"{activity.Summary}\" shows effects for longer than planned." : $"The planned activity \"{activity.Summary}\" is expected to cause flags of its kind, and it {(activity.Whole ? "lies within the activity and its settling time" : "begins within the activity and its settling time, but outlasts them: look whether it is more")}."));
            }
            else if (parent is not null)
            {
                tree = treeOf[parent.Id];
                tree.Members.Add(new(flag.Id, parent.Id, reason));
            }
            else
            {
                groups.Add(tree = new Tree(null));
                tree.Members.Add(new(flag.Id, null, reason));
            }
            treeOf[flag.Id] = tree;
            sweep.Add(flag);
        }
        return [.. groups.Select(t => new FlagGroup(t.Members[0].Id, t.Activity, t.Members))];
    }

    private sealed record Tree(string? Activity)
    {
        public List<GroupMember> Members { get; } = [];
    }

    /// <summary>Flags that an effect which begins now may still follow from. What has ended is dropped when it is met: time only goes on.</summary>
    private sealed class Sweep
    {
        // Until then a cause counts, whatever follows from it.
        private static readonly int LongestLag = Math.Max(ChartLagOrbits, KnownChains.All.Max(c => c.LagOrbits));
        private readonly Dictionary<FlagTopic, Dictionary<(string? View, string? Line), List<GroupedFlag>>> active = [];
        private readonly Dictionary<string, GroupedFlag> leaders = new(StringComparer.Ordinal);
        private readonly Dictionary<FlagTopic, GroupedFlag> firstOfTopic = [];

        public (GroupedFlag? Cause, string Reason) CauseOf(GroupedFlag flag)
        {
            if (flag.Charted && Newest(flag.Topic, ChartLagOrbits, flag) is { } charted)
                return (charted, $"It is a chart that speaks {When(charted, flag)} \"{charted.About}\" ({FlagText.Orbits(charted.FirstOrbit, charted.LastOrbit)}): charts gather what the quantity itself has shown before.");
            foreach (var chain in KnownChains.To(flag.Topic))
                if (Newest(chain.Cause, chain.LagOrbits, flag) is { } cause) return (cause, $"It begins {When(cause, flag)} \"{cause.About}\" ({FlagText.Orbits(cause.FirstOrbit, cause.LastOrbit)}), and follows from it: {chain.Why}.");
            if (leaders.TryGetValue(flag.Rule, out var leader) && BeganWith(leader, flag))
                return (leader, $"The same rule found it from {Later(leader, flag)} on \"{leader.About}\" too: one cause for both is likely.");
            leaders[flag.Rule] = flag;
            if (flag.Topic != FlagTopic.Other && firstOfTopic.TryGetValue(flag.Topic, out var first) && BeganWith(first, flag) && Fits(first.View, flag.View) && Fits(first.Line, flag.Line))
                return (first, $"Another rule found the same kind of thing from {Later(first, flag)} on \"{first.About}\": one cause for both is likely.");
            firstOfTopic[flag.Topic] = flag;
            return (null, "Nothing that is known to cause it was flagged before it, so it is the likely first cause here.");
        }

        // What outlasts a planned activity may be more than the activity: what begins during it is not laid to the activity's account. A chart is no cause of what it charts.
        public void Add(GroupedFlag flag)
        {
            if (flag.Activity is { Whole: false } || flag.Charted) return;
            if (!active.TryGetValue(flag.Topic, out var places)) active[flag.Topic] = places = [];
            if (!places.TryGetValue((flag.View, flag.Line), out var list)) places[(flag.View, flag.Line)] = list = [];
            list.Add(flag);
        }

        private static bool BeganWith(GroupedFlag leader, GroupedFlag flag) => leader.Activity is not { Whole: false } && leader.LastOrbit >= flag.FirstOrbit && flag.FirstOrbit - leader.FirstOrbit <= SiblingOrbits;

        private static string Later(GroupedFlag leader, GroupedFlag flag) => flag.FirstOrbit == leader.FirstOrbit ? "the same orbit" : $"{FlagText.Count(flag.FirstOrbit - leader.FirstOrbit, "orbit")} later";

        private static bool Fits(string? a, string? b) => a is null || b is null || a == b;

        // Of the views and lines that fit, the flag that began last: the nearest cause. Lists are in the order of the sweep.
        private GroupedFlag? Newest(FlagTopic topic, int lag, GroupedFlag flag)
        {
            if (!active.TryGetValue(topic, out var places)) return null;
            GroupedFlag? best = null;
            foreach (var (place, list) in places)
            {
                if (!Fits(place.View, flag.View) || !Fits(place.Line, flag.Line)) continue;
                for (var i = list.Count - 1; i >= 0; i--)
                {
                    var candidate = list[i];
                    if (candidate.LastOrbit + LongestLag < flag.FirstOrbit)
                    {
                        list.RemoveAt(i);
                        continue;
                    }
                    if (candidate.LastOrbit + lag < flag.FirstOrbit) continue;
                    if (best is null || IsNearer(candidate, best)) best = candidate;
                    break;
                }
            }
            return best;
        }

        private static bool IsNearer(GroupedFlag a, GroupedFlag b) =>
            a.FirstOrbit != b.FirstOrbit ? a.FirstOrbit > b.FirstOrbit : a.From != b.From ? a.From > b.From : string.CompareOrdinal(a.Id, b.Id) > 0;

        private static string When(GroupedFlag cause, GroupedFlag flag) =>
            flag.FirstOrbit == cause.FirstOrbit ? "on the same orbit as"
            : flag.FirstOrbit <= cause.LastOrbit ? $"on orbit {flag.FirstOrbit}, during"
            : $"on orbit {flag.FirstOrbit}, {FlagText.Count(flag.FirstOrbit - cause.LastOrbit, "orbit")} after";
    }
}
