using Phasekeeper.Core.Flags.Inputs;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>Takes over alarm ranges of the telemetry definition as limits of flag rules.</summary>
public static class AlarmLimits
{
    /// <summary>Limits of a channel; null when the definition gives none. Of ranges in the form "inside" a level that holds between two bounds cannot be a limit and is left to the decoder's own state.</summary>
    public static ChannelLimits? Of(ParameterInfo parameter)
    {
        var limits = new ChannelLimits();
        if (parameter.Ranges is { Inside: false } ranges)
            foreach (var range in ranges.Ranges)
                limits = limits.With(range.Level.ToString(), Bound(range.Min), Bound(range.Max));
        if (parameter.LabelAlarms is { } alarms && parameter.Labels is { } labels)
            for (var i = 0; i < labels.Labels.Count; i++)
                if (alarms.LevelOfLabel[i] != AlarmLevel.Normal) limits = limits.WithLabel(labels.Labels[i], alarms.LevelOfLabel[i].ToString());
        return limits.IsEmpty ? null : limits;
    }

    private static double Bound(double value) => double.IsInfinity(value) ? double.NaN : value;
}
