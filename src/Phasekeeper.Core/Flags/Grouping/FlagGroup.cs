using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Flags.Grouping;

/// <summary>A flag as far as grouping looks at it.</summary>
public sealed record GroupedFlag
{
    /// <summary>Id.</summary>
    public required string Id { get; init; }
    /// <summary>Rule.</summary>
    public required string Rule { get; init; }
    /// <summary>What it is about, in words: "Lamp brightness, view F, green".</summary>
    public required string About { get; init; }
    /// <summary>Topic.</summary>
    public required FlagTopic Topic { get; init; }
    /// <summary>True when a chart of a quantity speaks (rule kind drift): it does so some orbits after the quantity itself.</summary>
    public bool Charted { get; init; }
    /// <summary>View; null = all.</summary>
    public string? View { get; init; }
    /// <summary>Line; null = all.</summary>
    public string? Line { get; init; }
    /// <summary>Start.</summary>
    public required Instant From { get; init; }
    /// <summary>First orbit.</summary>
    public required int FirstOrbit { get; init; }
    /// <summary>Last orbit.</summary>
    public required int LastOrbit { get; init; }
    /// <summary>Planned activity within which it begins and which is expected to cause flags of its kind; null = none.</summary>
    public Activities.Explanation? Activity { get; init; }
}

/// <summary>A flag in its group.</summary>
/// <param name="Id">The flag.</param>
/// <param name="Cause">The member that it follows from, or goes with; null for the first, and for what follows from the group's activity itself.</param>
/// <param name="Reason">Why it is in the group: one sentence.</param>
public sealed record GroupMember(string Id, string? Cause, string Reason);

/// <summary>Flags of one likely cause.</summary>
/// <param name="Key">Id of the first flag: the group's name as long as it is the first.</param>
/// <param name="Activity">Title of the planned activity that is the likely first cause; null = the first member is.</param>
/// <param name="Members">The likely first cause first, then in the order of their start. Never empty.</param>
public sealed record FlagGroup(string Key, string? Activity, IReadOnlyList<GroupMember> Members);
