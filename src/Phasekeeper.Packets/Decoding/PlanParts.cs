using Phasekeeper.Core.Profile;
using Phasekeeper.Packets.Ccsds;

namespace Phasekeeper.Packets.Decoding;

/// <summary>Slots of the time code's fields; −1 = not used.</summary>
internal sealed record TimeSlots(PacketTimeSettings Settings, int Day, int Millisecond, int Microsecond, int Coarse, int Fine)
{
    public IEnumerable<int> Used => new[] { Day, Millisecond, Microsecond, Coarse, Fine }.Where(s => s >= 0);
}

/// <summary>Slots of a fringe row's fields.</summary>
internal sealed record FringeSlots(int Exposure, int Kind, int View, int Line, int Row, int Integration)
{
    public IEnumerable<int> All => [Exposure, Kind, View, Line, Row, Integration];
}

/// <summary>The public face of a plan.</summary>
internal sealed record PlanParts(IReadOnlyList<ParameterInfo> Parameters, IReadOnlyList<ChannelInfo> Channels, IReadOnlyList<ContainerInfo> Containers,
    ContainerInfo?[] ContainerOfNode, FramingRules FramingRules, TimeSlots TimeSlots, FringeSlots? FringeSlots, int SecondaryHeaderBytes);
