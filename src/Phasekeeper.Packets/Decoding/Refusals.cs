using Phasekeeper.Packets.Ccsds;

namespace Phasekeeper.Packets.Decoding;

/// <summary>Says why a packet is refused: the only thing that decoding allocates for.</summary>
internal static class Refusals
{
    /// <summary>Notes the reason; always false.</summary>
    public static bool Refuse(PacketValues values, QuarantineKind kind, string reason)
    {
        values.Refusal = new(kind, reason);
        return false;
    }

    /// <summary>The packet ends before a field does.</summary>
    public static bool TooShort(Node node, string field, PacketValues values, ReadOnlySpan<byte> packet, long bit) => Refuse(values, QuarantineKind.BadLength,
        $"Container {node.Container.Name} needs bits up to {bit} for {field}; the packet has {packet.Length * 8L} ({Describe(packet)}).");

    /// <summary>A size, count or place is none.</summary>
    public static bool BadSize(Node node, string field, PacketValues values, ReadOnlySpan<byte> packet) => Refuse(values, QuarantineKind.BadLength,
        $"In container {node.Container.Name} the size, count or place of {field} comes out as no whole number that is possible ({Describe(packet)}).");

    /// <summary>Which packet it is, for people.</summary>
    public static string Describe(ReadOnlySpan<byte> packet) => PrimaryHeader.TryRead(packet, out var h)
        ? $"APID {h.Apid}, sequence count {h.SequenceCount}, {packet.Length} bytes"
        : $"{packet.Length} bytes, no packet header";
}
