using System.Buffers;
using Phasekeeper.Packets.Ccsds;

namespace Phasekeeper.Packets.Tests.Ccsds;

/// <summary>Makes streams of packets with known contents for the framing tests.</summary>
public static class PacketStream
{
    /// <summary>APIDs and packet lengths (bytes) of the tests' missions.</summary>
    public static readonly IReadOnlyDictionary<int, (int, int)> Apids = new Dictionary<int, (int, int)> { [100] = (30, 30), [200] = (60, 60) };

    /// <summary>Rules of the tests' missions.</summary>
    public static FramingRules Rules(bool crc16) => new(crc16, Apids);

    /// <summary>Packets with random contents, alternating over the APIDs.</summary>
    public static List<byte[]> Make(int count, int seed, bool crc16)
    {
        var random = new Random(seed);
        var packets = new List<byte[]>();
        for (var i = 0; i < count; i++)
        {
            var apid = random.Next(2) == 0 ? 100 : 200;
            var data = new byte[Apids[apid].Item1 - 6 - (crc16 ? 2 : 0)];
            random.NextBytes(data);
            packets.Add(One(apid, i, data, crc16));
        }
        return packets;
    }

    /// <summary>One packet.</summary>
    public static byte[] One(int apid, int count, byte[] data, bool crc16, SequenceFlags flags = SequenceFlags.Unsegmented, bool secondaryHeader = true)
    {
        var output = new ArrayBufferWriter<byte>();
        new PacketWriter(output, crc16).Write(apid, count, data, flags, secondaryHeader);
        return output.WrittenSpan.ToArray();
    }

    /// <summary>The packets that a framing result found.</summary>
    public static List<byte[]> Cut(byte[] bytes, FramingResult result) => [.. result.Packets.Select(p => bytes[p.Offset..(p.Offset + p.Length)])];

    /// <summary>Every byte belongs to exactly one packet, idle packet or quarantined stretch.</summary>
    public static void AssertCovers(byte[] bytes, FramingResult result)
    {
        Assert.Equal(bytes.Length, result.Packets.Sum(p => p.Length) + result.Quarantine.Sum(q => q.Length) + result.IdleBytes);
        var pieces = result.Packets.Select(p => (p.Offset, p.Length)).Concat(result.Quarantine.Select(q => (q.Offset, q.Length))).OrderBy(p => p.Offset).ToList();
        for (var i = 1; i < pieces.Count; i++) Assert.True(pieces[i - 1].Offset + pieces[i - 1].Length <= pieces[i].Offset);
    }
}
