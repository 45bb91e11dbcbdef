using Phasekeeper.Packets.Ccsds;

namespace Phasekeeper.Packets.Tests.Ccsds;

/// <summary>The reasons of quarantine, one by one.</summary>
public class PacketFramerTests
{
    private static readonly byte[] A = PacketStream.One(100, 1, new byte[22], true);
    private static readonly byte[] B = PacketStream.One(200, 2, [.. Enumerable.Range(0, 52).Select(i => (byte)i)], true);

    private static FramingResult Frame(params byte[][] parts) => PacketFramer.Frame([.. parts.SelectMany(p => p)], PacketStream.Rules(true));

    private static byte[] Flip(byte[] packet, int at)
    {
        var copy = packet.ToArray();
        copy[at] ^= 0x10;
        return copy;
    }

    [Fact]
    public void A_flipped_body_is_a_bad_checksum_with_both_values_named()
    {
        var result = Frame(A, Flip(B, 20), A);
        var item = Assert.Single(result.Quarantine);
        Assert.Equal((30, 60, QuarantineKind.BadChecksum), (item.Offset, item.Length, item.Kind));
        Assert.Contains("APID 200, sequence count 2, length 60", item.Reason, StringComparison.Ordinal);
        Assert.Equal(2, result.Packets.Count);
    }

    [Fact]
    public void Bytes_between_packets_are_garbage()
    {
        var item = Assert.Single(Frame(A, [0xFF, 0xFE, 0xFD, 0xFC, 0xFB, 0xFA, 0xF9], B).Quarantine);
        Assert.Equal((30, 7, QuarantineKind.Garbage), (item.Offset, item.Length, item.Kind));
        Assert.Contains("expected version 0", item.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_packet_that_lost_bytes_has_a_bad_length()
    {
        var result = Frame(A, [.. B[..30], .. B[35..]], A, B);
        var item = Assert.Single(result.Quarantine);
        Assert.Equal((30, 55, QuarantineKind.BadLength), (item.Offset, item.Length, item.Kind));
        Assert.Equal(3, result.Packets.Count);
    }

    [Fact]
    public void An_input_that_ends_within_a_packet_has_a_truncated_tail()
    {
        var item = Assert.Single(Frame(A, B[..40]).Quarantine);
        Assert.Equal((30, 40, QuarantineKind.TruncatedTail), (item.Offset, item.Length, item.Kind));
        item = Assert.Single(Frame(A, B[..4]).Quarantine);
        Assert.Equal((30, 4, QuarantineKind.TruncatedTail), (item.Offset, item.Length, item.Kind));
    }

    [Fact]
    public void Idle_packets_are_skipped_and_counted_with_and_without_a_checksum()
    {
        var withCrc = PacketStream.One(2047, 0, new byte[10], true);
        var without = PacketStream.One(2047, 1, new byte[10], false);
        var result = Frame(A, withCrc, without, B, without);
        Assert.Empty(result.Quarantine);
        Assert.Equal((3, 50, 2), (result.IdlePackets, result.IdleBytes, result.Packets.Count));
    }

    [Fact]
    public void A_flipped_length_never_hides_the_packets_after_it()
    {
        var broken = A.ToArray();
        broken[5] = (byte)(30 + 60 + 30 - 7);
        var result = Frame(broken, B, A, B);
        Assert.Equal(3, result.Packets.Count);
        Assert.Equal((0, 30), (result.Quarantine[0].Offset, result.Quarantine[0].Length));
    }

    [Fact]
    public void A_packet_of_an_unknown_apid_with_a_right_checksum_is_a_packet()
    {
        // The decoder then says that no container matches, which a better definition can mend.
        var stranger = PacketStream.One(300, 5, new byte[17], true);
        Assert.Equal(3, Frame(A, stranger, B).Packets.Count);
    }

    [Fact]
    public void A_file_without_the_checksums_that_the_profile_promises_is_quarantined_packet_by_packet()
    {
        var bare = PacketStream.One(100, 1, [.. Enumerable.Range(0, 24).Select(i => (byte)i)], false);
        var result = Frame([.. Enumerable.Repeat(bare, 5000)]);
        Assert.Equal(5000, result.Quarantine.Count(q => q.Kind == QuarantineKind.BadChecksum));
    }
}
