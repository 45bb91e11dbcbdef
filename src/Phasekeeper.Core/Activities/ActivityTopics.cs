using Phasekeeper.Core.Flags.Grouping;

namespace Phasekeeper.Core.Activities;

/// <summary>Topics of flags as files and requests write them (kebab-case), and as pages say them.</summary>
public static class ActivityTopics
{
    /// <summary>Topics that an activity may be expected to cause: all but activities themselves.</summary>
    public static IReadOnlyList<FlagTopic> All { get; } = [.. Enum.GetValues<FlagTopic>().Where(t => t != FlagTopic.Activity)];

    private static readonly Dictionary<string, FlagTopic> ByWord = All.ToDictionary(Word, StringComparer.Ordinal);

    /// <summary>"thermal-phase".</summary>
    public static string Word(FlagTopic topic) => string.Concat(topic.ToString().Select((c, i) => char.IsUpper(c) ? (i > 0 ? "-" : "") + char.ToLowerInvariant(c) : c.ToString()));

    /// <summary>The topic of a word; null when there is none.</summary>
    public static FlagTopic? Find(string word) => ByWord.TryGetValue(word.Trim().ToLowerInvariant(), out var topic) ? topic : null;

    /// <summary>Topics of words joined by commas, in rising order; words that are none are left out.</summary>
    public static FlagTopic[] Read(string words) => [.. words.Split(',', StringSplitOptions.RemoveEmptyEntries).Select(Find).OfType<FlagTopic>().Distinct().Order()];

    /// <summary>Words of topics, joined by commas.</summary>
    public static string Join(IEnumerable<FlagTopic> topics) => string.Join(',', topics.Select(Word));

    /// <summary>All words, for messages.</summary>
    public static string Words => string.Join(", ", All.Select(Word));

    /// <summary>What flags of a topic are about, for pages.</summary>
    public static string Title(FlagTopic topic) => topic switch
    {
        FlagTopic.Activity => "planned activities",
        FlagTopic.Attitude => "attitude and modes",
        FlagTopic.Coverage => "orbit and attitude files",
        FlagTopic.Clock => "on-board clock",
        FlagTopic.Heater => "heaters and coolers",
        FlagTopic.Temperature => "temperatures",
        FlagTopic.Spikes => "energetic particles",
        FlagTopic.Damage => "damaged packets",
        FlagTopic.Gap => "data gaps",
        FlagTopic.Late => "late data",
        FlagTopic.Incomplete => "incomplete orbits",
        FlagTopic.LampMissing => "missing lamp exposures",
        FlagTopic.LampSupply => "lamp current and voltage",
        FlagTopic.Lamp => "lamp brightness",
        FlagTopic.Detector => "dark current and hot samples",
        FlagTopic.ImageShift => "image shift",
        FlagTopic.Coefficients => "coefficients",
        FlagTopic.ThermalPhase => "thermal phase",
        FlagTopic.ScenePhase => "scene phase and winds",
        FlagTopic.Visibility => "fringe visibility",
        _ => "anything else",
    };
}
