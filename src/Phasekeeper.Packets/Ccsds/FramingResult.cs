namespace Phasekeeper.Packets.Ccsds;

/// <summary>A packet found in the input: its first byte, its length in bytes, and its header.</summary>
public readonly record struct PacketRange(int Offset, int Length, PrimaryHeader Header);

/// <summary>What an input holds: packets, idle packets and the rest, which together cover every byte once.</summary>
/// <param name="Packets">The packets in the order of the input, idle ones left out.</param>
/// <param name="Quarantine">The stretches that are no packet, in the order of the input.</param>
/// <param name="IdlePackets">Number of idle packets (APID 2047) that were skipped.</param>
/// <param name="IdleBytes">Their bytes.</param>
public sealed record FramingResult(IReadOnlyList<PacketRange> Packets, IReadOnlyList<QuarantineItem> Quarantine, int IdlePackets, int IdleBytes);
