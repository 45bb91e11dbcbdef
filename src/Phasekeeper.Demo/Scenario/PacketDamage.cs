using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Noise;

namespace Phasekeeper.Demo.Scenario;

/// <summary>
/// Damages packets on their way down while a corrupted-packets event lasts: of ten damaged ones seven have bits flipped, two are cut
/// short and one has garbage before it. Which packet and how depends on the packet alone, not on the window it is asked in.
/// </summary>
public sealed class PacketDamage(ulong seed, EventTimeline events)
{
    /// <summary>Appends the packet to a stream, damaged if it is its turn.</summary>
    public void Append(MemoryStream stream, ReadOnlySpan<byte> packet, Instant time, int apid, long count)
    {
        var share = events.Sum(ScenarioEventKind.CorruptedPackets, time);
        if (share <= 0)
        {
            stream.Write(packet);
            return;
        }
        var random = new HashRandom(seed, 0xDA3A6E, (ulong)apid, (ulong)count);
        if (random.NextUniform() >= share)
        {
            stream.Write(packet);
            return;
        }
        switch (random.NextIndex(10))
        {
            case < 7:
                var copy = packet.ToArray();
                // The header stays whole, so that the packet is found and its checksum tells.
                for (var n = 1 + random.NextIndex(3); n > 0; n--) copy[6 + random.NextIndex(copy.Length - 6)] ^= (byte)(1 << random.NextIndex(8));
                stream.Write(copy);
                break;
            case < 9:
                stream.Write(packet[..(8 + random.NextIndex(packet.Length - 8))]);
                break;
            default:
                for (var n = 5 + random.NextIndex(60); n > 0; n--) stream.WriteByte((byte)random.NextBits());
                stream.Write(packet);
                break;
        }
    }
}
