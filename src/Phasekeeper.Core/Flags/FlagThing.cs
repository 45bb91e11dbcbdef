using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Flags;

/// <summary>The one thing that a flag is about: a rule watching one subject. Two flags of one thing never overlap in orbits.</summary>
/// <param name="Rule">Id of the declared rule.</param>
/// <param name="Subject">What is watched: a tracker, "tracker:channel", a channel, or the name of a data matter.</param>
/// <param name="View">View, where it applies.</param>
/// <param name="Line">Line, where it applies.</param>
public readonly record struct FlagThing(string Rule, string Subject, string? View, string? Line) : IComparable<FlagThing>
{
    /// <summary>Ordinal order by rule, subject, view, line; the same on every machine.</summary>
    public int CompareTo(FlagThing other)
    {
        var c = string.CompareOrdinal(Rule, other.Rule);
        if (c == 0) c = string.CompareOrdinal(Subject, other.Subject);
        if (c == 0) c = string.CompareOrdinal(View, other.View);
        return c != 0 ? c : string.CompareOrdinal(Line, other.Line);
    }

    /// <summary>As <see cref="CompareTo"/>.</summary>
    public static bool operator <(FlagThing a, FlagThing b) => a.CompareTo(b) < 0;
    /// <summary>As <see cref="CompareTo"/>.</summary>
    public static bool operator >(FlagThing a, FlagThing b) => a.CompareTo(b) > 0;
    /// <summary>As <see cref="CompareTo"/>.</summary>
    public static bool operator <=(FlagThing a, FlagThing b) => a.CompareTo(b) <= 0;
    /// <summary>As <see cref="CompareTo"/>.</summary>
    public static bool operator >=(FlagThing a, FlagThing b) => a.CompareTo(b) >= 0;

    /// <summary>"Lamp brightness, view F, green" for messages.</summary>
    public string Words() => Title() + Where();

    /// <summary>", view F, green"; nothing where neither applies.</summary>
    public string Where() => (View is null ? "" : $", view {View}") + (Line is null ? "" : $", {Line}");

    // A tracker by its title; one of a telemetry channel with that channel's name.
    private string Title()
    {
        var parts = Subject.Split(':', 2);
        if (TrackerCatalog.Find(parts[0]) is not { } tracker) return Subject;
        return parts.Length == 1 ? tracker.Info.Title : $"{tracker.Info.Title} of {parts[1]}";
    }
}
