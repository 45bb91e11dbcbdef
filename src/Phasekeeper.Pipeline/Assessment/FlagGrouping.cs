using Phasekeeper.Core.Flags.Grouping;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>Groups stored flags: tells grouping what the mission knows of channels.</summary>
public static class FlagGrouping
{
    /// <summary>The groups of flags; see <see cref="FlagGrouper"/>.</summary>
    public static IReadOnlyList<FlagGroup> Of(IEnumerable<FlagRow> flags, MissionState mission)
    {
        ArgumentNullException.ThrowIfNull(flags);
        ArgumentNullException.ThrowIfNull(mission);
        return FlagGrouper.Of(flags.Select(row => Of(row, mission)));
    }

    /// <summary>A flag as grouping looks at it.</summary>
    public static GroupedFlag Of(FlagRow row, MissionState mission)
    {
        var flag = FlagJson.Read(row);
        var topic = FlagTopics.Of(flag.RuleKind, row.Subject, name => Facts(mission, name));
        return new()
        {
            Id = row.Id,
            Rule = row.Rule,
            About = flag.Thing.Words(),
            Topic = topic,
            Charted = flag.RuleKind == "drift",
            // A drift is one flag for all views and lines; where only one of them signals, that is the one.
            View = row.View ?? Only(flag.Evidence.Signals.Select(s => s.Series.View)),
            Line = row.Line ?? Only(flag.Evidence.Signals.Select(s => s.Series.Line)),
            From = row.From,
            FirstOrbit = flag.FirstOrbit,
            LastOrbit = flag.LastOrbit,
            // What explains it whole before what explains a part of it. An overrun goes with the activity that it is about.
            Activity = topic == FlagTopic.Activity ? flag.During.FirstOrDefault() : flag.ExplainedBy.OrderBy(e => e.Whole ? 0 : 1).FirstOrDefault(),
        };
    }

    private static string? Only(IEnumerable<string?> places) => places.Distinct().ToArray() is [{ } one] ? one : null;

    /// <summary>What the telemetry definition tells of a channel; null when there is none of that name.</summary>
    internal static ChannelFacts? Facts(MissionState mission, string name) =>
        mission.Plan.Find(name) is { } channel ? new(name, channel.Unit, channel.Description ?? "") : null;
}
