using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Packets.Decoding;

/// <summary>A parameter of the definition (or one element of an array) with a place for its value.</summary>
/// <param name="Slot">Its place in <see cref="PacketValues"/>.</param>
/// <param name="Name">Short name; with its path where two systems use the same; elements as NAME[i].</param>
/// <param name="Path">Full path, e.g. /System/Sub/NAME.</param>
/// <param name="Kind">Sort.</param>
/// <param name="Unit">Unit as in the file; empty when there is none.</param>
/// <param name="Description">Words of the file; null when there are none.</param>
/// <param name="Labels">Labels of an enumerated or boolean parameter.</param>
/// <param name="Ranges">Alarm ranges of a number.</param>
/// <param name="LabelAlarms">Alarm levels of labels.</param>
public sealed record ParameterInfo(int Slot, string Name, string Path, ParameterKind Kind, string Unit, string? Description,
    EnumerationTable? Labels, AlarmRanges? Ranges, EnumerationAlarms? LabelAlarms);

/// <summary>
/// A telemetry channel: a number, enumerated or boolean parameter outside the primary header, the fringe fields and the checksum.
/// Texts and binary data are no channels. A parameter in several containers is one channel.
/// </summary>
/// <param name="Index">Place in <see cref="DecodingPlan.Channels"/>.</param>
/// <param name="Parameter">The parameter.</param>
/// <param name="IsTimeField">True for a field of the packet's time code. In fringe packets those are not listed.</param>
public sealed record ChannelInfo(int Index, ParameterInfo Parameter, bool IsTimeField)
{
    /// <summary>Place of its value in <see cref="PacketValues"/>.</summary>
    public int Slot => Parameter.Slot;

    /// <summary>Name.</summary>
    public string Name => Parameter.Name;
}

/// <summary>A container that packets can match.</summary>
/// <param name="Index">Place in <see cref="DecodingPlan.Containers"/>.</param>
/// <param name="Name">Name in the file.</param>
/// <param name="Path">Full path.</param>
/// <param name="Description">Words of the file.</param>
/// <param name="Apids">APIDs that its criteria allow.</param>
/// <param name="ShortestBytes">Shortest packet, bytes.</param>
/// <param name="LongestBytes">Longest packet, bytes.</param>
/// <param name="IsFringe">True for the profile's fringe container and those built on it.</param>
/// <param name="Channels">Channels that such a packet can carry, in the order of the packet.</param>
public sealed record ContainerInfo(int Index, string Name, string Path, string? Description, IReadOnlyList<int> Apids,
    int ShortestBytes, int LongestBytes, bool IsFringe, IReadOnlyList<ChannelInfo> Channels);
