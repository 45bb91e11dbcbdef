using FsCheck.Xunit;
using Phasekeeper.Packets.Ccsds;

namespace Phasekeeper.Packets.Tests.Ccsds;

/// <summary>What must hold for any damage.</summary>
public class PacketFramerProperties
{
    [Property(MaxTest = 60)]
    public void Any_cut_at_packet_boundaries_gives_the_same_packets(int seed, byte cut, bool crc16)
    {
        var packets = PacketStream.Make(12, seed, crc16);
        var at = cut % 13;
        var found = new List<byte[]>();
        foreach (var part in new[] { packets[..at], packets[at..] })
        {
            byte[] bytes = [.. part.SelectMany(p => p)];
            var result = PacketFramer.Frame(bytes, PacketStream.Rules(crc16));
            Assert.Empty(result.Quarantine);
            found.AddRange(PacketStream.Cut(bytes, result));
        }
        Assert.Equal(packets, found);
    }

    [Property(MaxTest = 200)]
    public void Bit_flips_lose_exactly_the_packets_that_they_hit(int seed, byte flips)
    {
        var packets = PacketStream.Make(15, seed, crc16: true);
        byte[] bytes = [.. packets.SelectMany(p => p)];
        var starts = packets.Select((p, i) => packets[..i].Sum(q => q.Length)).ToArray();
        var random = new Random(seed ^ 77);
        var hit = new HashSet<int>();
        // One flip a packet at most: CRC-16 finds every single flip, and a second one could undo the first.
        for (var i = 0; i < flips % 8; i++)
        {
            var p = random.Next(packets.Count);
            if (!hit.Add(p)) continue;
            var bit = random.Next(packets[p].Length * 8);
            bytes[starts[p] + bit / 8] ^= (byte)(1 << bit % 8);
        }
        var result = PacketFramer.Frame(bytes, PacketStream.Rules(true));
        PacketStream.AssertCovers(bytes, result);
        Assert.Equal(packets.Where((_, i) => !hit.Contains(i)), PacketStream.Cut(bytes, result));
        Assert.Equal(hit.Count > 0, result.Quarantine.Count > 0);
    }

    [Property(MaxTest = 200)]
    public void Garbage_and_dropped_bytes_lose_no_packet_that_is_whole(int seed, bool crc16)
    {
        var packets = PacketStream.Make(12, seed, crc16);
        var random = new Random(seed ^ 99);
        var whole = new List<byte[]>();
        var bytes = new List<byte>();
        foreach (var packet in packets)
        {
            switch (random.Next(5))
            {
                case 0:
                    var garbage = new byte[random.Next(1, 80)];
                    random.NextBytes(garbage);
                    bytes.AddRange(garbage);
                    break;
                case 1:
                    // Bytes lost from this packet.
                    var from = random.Next(packet.Length - 1);
                    bytes.AddRange(packet[..from]);
                    bytes.AddRange(packet[(from + random.Next(1, packet.Length - from))..]);
                    continue;
            }
            bytes.AddRange(packet);
            whole.Add(packet);
        }
        byte[] all = [.. bytes];
        var result = PacketFramer.Frame(all, PacketStream.Rules(crc16));
        PacketStream.AssertCovers(all, result);
        var found = PacketStream.Cut(all, result);
        foreach (var packet in whole) Assert.Contains(found, f => f.AsSpan().SequenceEqual(packet));
    }

    [Property(MaxTest = 300)]
    public void Any_bytes_are_covered_without_an_exception(byte[] bytes, bool crc16, bool known)
    {
        var rules = known ? PacketStream.Rules(crc16) : new FramingRules(crc16);
        PacketStream.AssertCovers(bytes, PacketFramer.Frame(bytes, rules));
    }

    [Theory]
    [InlineData(true, 0x00)]
    [InlineData(true, 0x08)]
    [InlineData(false, 0x00)]
    [InlineData(false, 0x08)]
    [InlineData(false, 0x07)]
    public void Many_bytes_of_one_value_that_looks_like_headers_ends(bool crc16, byte value)
    {
        // Every offset is a plausible header here: the search must not grow with the square of the length.
        var bytes = new byte[1 << 18];
        Array.Fill(bytes, value);
        PacketStream.AssertCovers(bytes, PacketFramer.Frame(bytes, new FramingRules(crc16)));
    }
}
