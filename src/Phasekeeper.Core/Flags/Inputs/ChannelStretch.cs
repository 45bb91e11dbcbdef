using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Flags.Inputs;

/// <summary>One sample of a channel.</summary>
/// <param name="Time">Time.</param>
/// <param name="Value">Value in the channel's unit; NaN for a pure label.</param>
/// <param name="Label">Label of an enumerated channel; null for a number.</param>
public readonly record struct ChannelSample(Instant Time, double Value, string? Label = null);

/// <summary>Samples of one telemetry channel over a stretch, in order of time.</summary>
/// <param name="Channel">Channel name.</param>
/// <param name="Unit">Unit; "1" when it has none.</param>
/// <param name="Samples">In rising order of time.</param>
/// <param name="Limits">Its alarm ranges; null = none.</param>
public sealed record ChannelStretch(string Channel, string Unit, IReadOnlyList<ChannelSample> Samples, ChannelLimits? Limits = null);
