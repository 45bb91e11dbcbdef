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

    /// <summary>"lamp-brightness, view F, green" for messages.</summary>
    public string Words() => Subject + (View is null ? "" : $", view {View}") + (Line is null ? "" : $", {Line}");
}
