using Phasekeeper.Packets.Decoding;
using Phasekeeper.Packets.Xtce;
using Phasekeeper.Web.Api;

namespace Phasekeeper.Web.Features.Channels;

/// <summary>
/// The alarm state of each sample of a channel, by the ranges and label alarms of the telemetry definition: normal, watch, warning, distress,
/// critical or severe. It is the state of the sample alone; how long it must last before it counts is a matter of the flag rules.
/// </summary>
public sealed class ChannelStates(ParameterInfo? parameter)
{
    /// <summary>The state's word. <paramref name="label"/>: the sample's label; null for none.</summary>
    public string Of(double value, string? label)
    {
        if (parameter is null || double.IsNaN(value)) return ApiWords.Of(AlarmLevel.Normal);
        if (parameter.LabelAlarms is { } alarms && parameter.Labels is { } labels)
        {
            var index = label is null ? -1 : labels.IndexOfLabel(label);
            return ApiWords.Of(index < 0 ? alarms.Otherwise : alarms.LevelOfLabel[index]);
        }
        return ApiWords.Of(parameter.Ranges?.LevelOf(value) ?? AlarmLevel.Normal);
    }
}
