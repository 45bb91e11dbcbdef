using System.Buffers.Binary;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Packets.Ccsds;

/// <summary>One segment packet, whole, with its time where it carries one.</summary>
/// <param name="Bytes">The packet's bytes, header and checksum included.</param>
/// <param name="Time">Packet time; null when the segment has no time code of its own.</param>
public sealed record SegmentPacket(ReadOnlyMemory<byte> Bytes, Instant? Time);

/// <summary>A packet put together from segments.</summary>
/// <param name="Bytes">A packet by the same rules as any other (see <see cref="SegmentAssembler"/>).</param>
/// <param name="Segments">The indexes, in the given set, of its segments from first to last.</param>
public sealed record JoinedPacket(ReadOnlyMemory<byte> Bytes, IReadOnlyList<int> Segments);

/// <summary>A segment that belongs to no complete group: its index in the given set and why.</summary>
public sealed record LooseSegment(int Index, string Reason);

/// <summary>
/// Joins segments (sequence flags first, continuation…, last) of an APID with consecutive sequence counts modulo 16384. A pure
/// function of the *set*: order and repeats change nothing but the indexes.
/// <para>
/// The joined packet: the first segment's primary header with flags "unsegmented" and the new length (65535 when longer than the
/// field can say), its data field (secondary header included) and then the user data of the others, each without its
/// own secondary header (when its flag is set) and without its own checksum; a new checksum closes it where the mission uses them.
/// </para>
/// <para>
/// The counts start again every 16384 packets, so the set should cover little more than that of one APID, or carry times: segments
/// further than <see cref="LongestGroupSeconds"/> apart never belong together. Where two different segments claim one place,
/// the one earlier in time, then smaller in bytes, is used.
/// </para>
/// </summary>
public static class SegmentAssembler
{
    /// <summary>Largest difference between the times of two segments of one packet, s (chosen: an hour).</summary>
    public const double LongestGroupSeconds = 3600;

    /// <summary>Joins what can be joined.</summary>
    /// <param name="segments">The set.</param>
    /// <param name="crc16">True: every segment ends with its CRC-16.</param>
    /// <param name="secondaryHeaderBytes">Bytes of a secondary header.</param>
    public static (IReadOnlyList<JoinedPacket> Joined, IReadOnlyList<LooseSegment> Loose) Join(
        IReadOnlyList<SegmentPacket> segments, bool crc16, int secondaryHeaderBytes)
    {
        var items = new List<Item>(segments.Count);
        for (var i = 0; i < segments.Count; i++)
            if (PrimaryHeader.TryRead(segments[i].Bytes.Span, out var header)) items.Add(new(i, header, segments[i]));
            else throw new ArgumentException($"Segment {i} has {segments[i].Bytes.Length} bytes; expected a whole packet.", nameof(segments));
        items.Sort(Item.Compare);
        var distinct = new List<Item>(items.Count);
        foreach (var item in items)
            if (distinct.Count == 0 || Item.Compare(distinct[^1], item) != 0) distinct.Add(item);

        var byPlace = distinct.GroupBy(i => (i.Header.Apid, i.Header.SequenceCount)).ToDictionary(g => g.Key, g => g.ToList());
        var used = new HashSet<int>();
        var joined = new List<JoinedPacket>();
        var loose = new List<LooseSegment>();
        foreach (var first in distinct)
        {
            if (first.Header.Flags != SequenceFlags.First) continue;
            var group = Follow(first, byPlace, used, out var missing);
            if (group is null)
            {
                loose.Add(new(first.Index, missing));
                used.Add(first.Index);
                continue;
            }
            foreach (var member in group) used.Add(member.Index);
            joined.Add(new(Build(group, crc16, secondaryHeaderBytes), group.ConvertAll(m => m.Index)));
        }
        foreach (var item in distinct)
            if (!used.Contains(item.Index))
                loose.Add(new(item.Index, $"Segment {item.Header.SequenceCount} ({item.Header.Flags}) of APID {item.Header.Apid} belongs to no complete group."));
        return (joined, loose);
    }

    private static List<Item>? Follow(Item first, Dictionary<(int, int), List<Item>> byPlace, HashSet<int> used, out string missing)
    {
        missing = "";
        var group = new List<Item> { first };
        while (true)
        {
            var count = (group[^1].Header.SequenceCount + 1) % PrimaryHeader.SequenceModulus;
            Item? next = null;
            if (group.Count < PrimaryHeader.SequenceModulus && byPlace.TryGetValue((first.Header.Apid, count), out var candidates))
                next = candidates.Find(c => !used.Contains(c.Index) && c.Header.Flags is SequenceFlags.Continuation or SequenceFlags.Last && IsNear(first, c));
            if (next is null)
            {
                missing = $"Segment {count} of APID {first.Header.Apid} is missing: the packet that starts with segment {first.Header.SequenceCount} has {group.Count} segment(s) and no last one.";
                return null;
            }
            group.Add(next);
            if (next.Header.Flags == SequenceFlags.Last) return group;
        }
    }

    private static bool IsNear(Item first, Item other) =>
        first.Packet.Time is not { } a || other.Packet.Time is not { } b || Math.Abs(b - a) <= LongestGroupSeconds;

    private static byte[] Build(List<Item> group, bool crc16, int secondaryHeaderBytes)
    {
        var tail = crc16 ? Crc16.Length : 0;
        var parts = new List<ReadOnlyMemory<byte>>(group.Count);
        for (var i = 0; i < group.Count; i++)
        {
            var data = group[i].Packet.Bytes[PrimaryHeader.Length..];
            data = data[..Math.Max(0, data.Length - tail)];
            if (i > 0 && group[i].Header.HasSecondaryHeader) data = data[Math.Min(secondaryHeaderBytes, data.Length)..];
            parts.Add(data);
        }
        var dataLength = parts.Sum(p => p.Length) + tail;
        var packet = new byte[PrimaryHeader.Length + dataLength];
        (group[0].Header with { Flags = SequenceFlags.Unsegmented, DataLengthField = Math.Clamp(dataLength - 1, 0, 65535) }).Write(packet);
        var at = PrimaryHeader.Length;
        foreach (var part in parts)
        {
            part.Span.CopyTo(packet.AsSpan(at));
            at += part.Length;
        }
        if (crc16) BinaryPrimitives.WriteUInt16BigEndian(packet.AsSpan(at), Crc16.Compute(packet.AsSpan(0, at)));
        return packet;
    }

    private sealed record Item(int Index, PrimaryHeader Header, SegmentPacket Packet)
    {
        // A total order over what the segments hold; equal means the same segment twice.
        public static int Compare(Item a, Item b)
        {
            var order = a.Header.Apid.CompareTo(b.Header.Apid);
            if (order == 0) order = (a.Packet.Time?.TaiNanoseconds ?? long.MinValue).CompareTo(b.Packet.Time?.TaiNanoseconds ?? long.MinValue);
            if (order == 0) order = a.Header.SequenceCount.CompareTo(b.Header.SequenceCount);
            return order != 0 ? order : a.Packet.Bytes.Span.SequenceCompareTo(b.Packet.Bytes.Span);
        }
    }
}
