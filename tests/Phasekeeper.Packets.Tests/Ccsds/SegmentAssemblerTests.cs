using FsCheck.Xunit;
using Phasekeeper.Core.Time;
using Phasekeeper.Packets.Ccsds;

namespace Phasekeeper.Packets.Tests.Ccsds;

/// <summary>Segments are put together whatever their order.</summary>
public class SegmentAssemblerTests
{
    // Three segments whose counts pass the end of the counter; the first has a two-byte secondary header, the second too.
    private static readonly byte[][] Parts =
    [
        PacketStream.One(100, 16383, [9, 9, 1, 2, 3], true, SequenceFlags.First),
        PacketStream.One(100, 0, [9, 9, 4, 5], true, SequenceFlags.Continuation),
        PacketStream.One(100, 1, [6, 7], true, SequenceFlags.Last, secondaryHeader: false),
    ];

    [Property(MaxTest = 50)]
    public void Any_order_and_repeats_give_the_same_packet(int seed)
    {
        var random = new Random(seed);
        var set = Parts.Concat(Parts.Where(_ => random.Next(2) == 0)).OrderBy(_ => random.Next()).Select(p => new SegmentPacket(p, Instant.FromUtc(2031, 3, 1))).ToList();
        var (joined, loose) = SegmentAssembler.Join(set, crc16: true, secondaryHeaderBytes: 2);
        Assert.Empty(loose);
        Assert.Equal(PacketStream.One(100, 16383, [9, 9, 1, 2, 3, 4, 5, 6, 7], true), Assert.Single(joined).Bytes.ToArray());
    }

    [Fact]
    public void A_missing_segment_leaves_the_others_loose_with_the_reason()
    {
        var (joined, loose) = SegmentAssembler.Join([new(Parts[2], null), new(Parts[0], null)], true, 2);
        Assert.Empty(joined);
        Assert.Equal([0, 1], loose.Select(l => l.Index).Order());
        Assert.Contains(loose, l => l.Reason == "Segment 0 of APID 100 is missing: the packet that starts with segment 16383 has 1 segment(s) and no last one.");
    }

    [Fact]
    public void Segments_of_different_hours_are_not_mixed()
    {
        var early = Instant.FromUtc(2031, 3, 1);
        var set = new List<SegmentPacket> { new(Parts[0], early), new(Parts[1], early.AddSeconds(7200)), new(Parts[2], early.AddSeconds(7200)) };
        var (joined, loose) = SegmentAssembler.Join(set, true, 2);
        Assert.Empty(joined);
        Assert.Equal(3, loose.Count);
    }
}
