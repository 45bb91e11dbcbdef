using System.Text.Json.Serialization;

namespace Phasekeeper.Demo.Scenario;

/// <summary>One entry of the diary of injected events: what happens, when, for how long and how strongly.</summary>
public sealed record ScenarioEvent
{
    /// <summary>Unique name, as used by <c>--events</c>.</summary>
    [JsonRequired] public string Name { get; init; } = "";
    /// <summary>What it does.</summary>
    [JsonRequired] public ScenarioEventKind Kind { get; init; }
    /// <summary>Start, hours after the scenario's start.</summary>
    [JsonRequired] public double StartHours { get; init; }
    /// <summary>Length in hours; null = it stays.</summary>
    public double? DurationHours { get; init; }
    /// <summary>Strength in the unit of the kind.</summary>
    public double Size { get; init; }
    /// <summary>View id it is limited to; null = both.</summary>
    public string? View { get; init; }
    /// <summary>Lost downlink: hours after the scenario's start at which the packets arrive after all; null = never.</summary>
    public double? DeliveredHours { get; init; }
    /// <summary>The event in a sentence.</summary>
    public string Description { get; init; } = "";

    /// <summary>End, hours after the scenario's start; infinite for an event that stays.</summary>
    [JsonIgnore] public double EndHours => DurationHours is { } d ? StartHours + d : double.PositiveInfinity;
}

/// <summary>A planned activity, as activities.ics tells it.</summary>
public sealed record ScenarioActivity
{
    /// <summary>Unique id of the calendar entry.</summary>
    [JsonRequired] public string Uid { get; init; } = "";
    /// <summary>Category, e.g. manoeuvre or lamp test.</summary>
    [JsonRequired] public string Category { get; init; } = "";
    /// <summary>Title.</summary>
    [JsonRequired] public string Summary { get; init; } = "";
    /// <summary>Start, hours after the scenario's start.</summary>
    [JsonRequired] public double StartHours { get; init; }
    /// <summary>Length in hours.</summary>
    [JsonRequired] public double DurationHours { get; init; }
    /// <summary>The activity in a sentence.</summary>
    public string Description { get; init; } = "";
}
