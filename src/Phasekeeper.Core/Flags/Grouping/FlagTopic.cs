using Phasekeeper.Core.Flags.Rules;

namespace Phasekeeper.Core.Flags.Grouping;

/// <summary>What a flag is about, as far as causes and effects go. In rising order: what stands later is never the cause of what stands earlier, so chains cannot run in circles.</summary>
public enum FlagTopic
{
    /// <summary>A planned activity itself.</summary>
    Activity,
    /// <summary>Attitude, wheels, modes.</summary>
    Attitude,
    /// <summary>Orbit or attitude file does not cover the data.</summary>
    Coverage,
    /// <summary>On-board clock.</summary>
    Clock,
    /// <summary>Heaters and coolers: their switches, currents, duty.</summary>
    Heater,
    /// <summary>Temperatures.</summary>
    Temperature,
    /// <summary>Energetic particles.</summary>
    Spikes,
    /// <summary>Packets that cannot be decoded, or contradict each other.</summary>
    Damage,
    /// <summary>Packets that did not arrive.</summary>
    Gap,
    /// <summary>Packets that came late.</summary>
    Late,
    /// <summary>Orbits that lack exposures.</summary>
    Incomplete,
    /// <summary>Lamp exposures that are missing.</summary>
    LampMissing,
    /// <summary>The lamp's current, voltage, switch.</summary>
    LampSupply,
    /// <summary>The lamp's light.</summary>
    Lamp,
    /// <summary>Dark current and hot samples.</summary>
    Detector,
    /// <summary>Image shift.</summary>
    ImageShift,
    /// <summary>Coefficients that have aged.</summary>
    Coefficients,
    /// <summary>Lamp phase against the thermal model, and what is charted of it.</summary>
    ThermalPhase,
    /// <summary>Scene phase residual and winds.</summary>
    ScenePhase,
    /// <summary>Fringe visibility.</summary>
    Visibility,
    /// <summary>Anything else.</summary>
    Other,
}

/// <summary>What is known of a telemetry channel beyond its name.</summary>
/// <param name="Name">Name.</param>
/// <param name="Unit">Unit; empty = none.</param>
/// <param name="Description">Description; empty = none.</param>
public sealed record ChannelFacts(string Name, string Unit, string Description);

/// <summary>Tells the topic of a flag from the kind of its rule and what it watches.</summary>
public static class FlagTopics
{
    // Words of a channel's name and description, the more telling first. A temperature is told by its unit, whatever it is called.
    private static readonly (FlagTopic Topic, string[] Words)[] ChannelWords =
    [
        (FlagTopic.Heater, ["heater", "htr", "cooler", "tec"]),
        (FlagTopic.LampSupply, ["lamp"]),
        (FlagTopic.Attitude, ["attitude", "roll", "pitch", "yaw", "wheel", "star tracker", "stars", "gyro", "thruster", "spacecraft mode", "slew"]),
        (FlagTopic.Clock, ["clock", "time code"]),
    ];

    /// <summary>The topic.</summary>
    /// <param name="ruleKind">Kind of the rule.</param>
    /// <param name="subject">What it watches: tracker, tracker:channel, channel, or a data matter.</param>
    /// <param name="channel">What is known of a channel; null when it is not one, or not known.</param>
    public static FlagTopic Of(string ruleKind, string subject, Func<string, ChannelFacts?> channel)
    {
        ArgumentNullException.ThrowIfNull(subject);
        ArgumentNullException.ThrowIfNull(channel);
        return ruleKind switch
        {
            "thermal-residual" => FlagTopic.ThermalPhase,
            "phase-residual" => FlagTopic.ScenePhase,
            "visibility-loss" => FlagTopic.Visibility,
            "lamp-loss" => FlagTopic.Lamp,
            "lamp-missing" => FlagTopic.LampMissing,
            "image-shift-step" => FlagTopic.ImageShift,
            "dark-growth" or "hot-sample-growth" => FlagTopic.Detector,
            "spike-storm" => FlagTopic.Spikes,
            "incomplete-orbit" => FlagTopic.Incomplete,
            "data-gap" => FlagTopic.Gap,
            "late-data" => FlagTopic.Late,
            "clock-jump" => FlagTopic.Clock,
            "undecodable-data" or "data-conflict" => FlagTopic.Damage,
            "coverage-missing" => FlagTopic.Coverage,
            "stale-coefficients" => FlagTopic.Coefficients,
            ActivityOverrunKind.KindId => FlagTopic.Activity,
            "drift" or "tracker-limit" => OfTracker(subject, channel),
            _ => channel(subject) is { } known ? OfChannel(known) : FlagTopic.Other,
        };
    }

    private static FlagTopic OfTracker(string subject, Func<string, ChannelFacts?> channel)
    {
        var parts = subject.Split(':', 2);
        if (parts.Length == 2) return channel(parts[1]) is { } known ? OfChannel(known) : FlagTopic.Other;
        return parts[0] switch
        {
            "lamp-brightness" => FlagTopic.Lamp,
            "scene-visibility" or "lamp-visibility" => FlagTopic.Visibility,
            "dark-rate" or "hot-samples" => FlagTopic.Detector,
            "spike-rate" => FlagTopic.Spikes,
            "completeness" or "packet-completeness" => FlagTopic.Incomplete,
            "sequence-gaps" => FlagTopic.Gap,
            "latency" => FlagTopic.Late,
            "interferometer-swing" or "bench-swing" or "sunlit-shadow-difference" => FlagTopic.Temperature,
            var t when t.StartsWith("image-shift", StringComparison.Ordinal) => FlagTopic.ImageShift,
            var t when t.StartsWith("thermal-", StringComparison.Ordinal) || t is "lamp-offset" or "view-difference" or "fringe-frequency" => FlagTopic.ThermalPhase,
            "scene-phase-residual" or "green-red-difference" or "ascending-descending-difference" or "zero-wind" or "tangent-height" or "top-side-scale-height" => FlagTopic.ScenePhase,
            _ => FlagTopic.Other,
        };
    }

    private static FlagTopic OfChannel(ChannelFacts channel)
    {
        if (channel.Unit is "degC" or "deg C" or "°C" or "C" or "K") return FlagTopic.Temperature;
        var text = $" {channel.Name.Replace('_', ' ')} {channel.Description} ".ToLowerInvariant();
        foreach (var (topic, words) in ChannelWords)
            // At the start of a word: "tec" is the cooler, not a detector.
            if (words.Any(w => text.Contains(" " + w, StringComparison.Ordinal))) return topic;
        return FlagTopic.Other;
    }
}
