using System.Buffers.Binary;
using System.Security.Cryptography;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>Where a packet claims to belong: two different packets with the same place are a conflict.</summary>
/// <param name="Time">Packet time.</param>
/// <param name="Apid">Application process id, 0…2047.</param>
/// <param name="SequenceCount">Sequence count, 0…16383.</param>
public readonly record struct PacketPlace(Instant Time, int Apid, int SequenceCount)
{
    /// <summary>Canonical order: time, APID, sequence count.</summary>
    public int CompareTo(PacketPlace other)
    {
        var order = Time.CompareTo(other.Time);
        if (order == 0) order = Apid.CompareTo(other.Apid);
        return order != 0 ? order : SequenceCount.CompareTo(other.SequenceCount);
    }
}

/// <summary>
/// A packet in the archive. <see cref="Hash"/> is the first 16 bytes of the SHA-256 of its bytes, big-endian: comparing it orders
/// packets as their SHA-256 do (two that agree in 16 bytes are taken as the same packet; chance 10⁻²⁰ over 10⁹ packets).
/// </summary>
public readonly record struct ArchivedPacket(PacketPlace Place, UInt128 Hash, ReadOnlyMemory<byte> Bytes)
{
    /// <summary>A packet with its hash computed.</summary>
    public static ArchivedPacket Of(Instant time, int apid, int sequenceCount, ReadOnlyMemory<byte> bytes) =>
        new(new PacketPlace(time, apid, sequenceCount), HashOf(bytes.Span), bytes);

    /// <summary>Packet time.</summary>
    public Instant Time => Place.Time;

    /// <summary>First 16 bytes of the SHA-256, big-endian.</summary>
    public static UInt128 HashOf(ReadOnlySpan<byte> bytes)
    {
        Span<byte> hash = stackalloc byte[SHA256.HashSizeInBytes];
        SHA256.HashData(bytes, hash);
        return BinaryPrimitives.ReadUInt128BigEndian(hash);
    }

    /// <summary>Canonical order: place, then SHA-256.</summary>
    public static IComparer<ArchivedPacket> Canonical { get; } = Comparer<ArchivedPacket>.Create((a, b) =>
    {
        var order = a.Place.CompareTo(b.Place);
        return order != 0 ? order : a.Hash.CompareTo(b.Hash);
    });
}

/// <summary>A part of a segmented packet (its sequence flags are not 3).</summary>
/// <param name="Apid">Application process id.</param>
/// <param name="SequenceCount">Sequence count.</param>
/// <param name="Flags">Sequence flags: 0 continuation, 1 first, 2 last.</param>
/// <param name="Bytes">The whole part.</param>
/// <param name="Offset">Byte offset in its source.</param>
public sealed record PacketPart(int Apid, int SequenceCount, int Flags, ReadOnlyMemory<byte> Bytes, long Offset)
{
    /// <summary>First 16 bytes of the SHA-256, big-endian.</summary>
    public UInt128 Hash { get; } = ArchivedPacket.HashOf(Bytes.Span);
}

/// <summary>All packets of an hour in canonical order, conflicts resolved: the packet with the smaller SHA-256 is used.</summary>
/// <param name="Hour">Hour bucket.</param>
/// <param name="Used">The packets in use.</param>
/// <param name="Conflicts">Packets that lost their place.</param>
public sealed record PacketHour(long Hour, IReadOnlyList<ArchivedPacket> Used, IReadOnlyList<PacketConflict> Conflicts);

/// <summary>A packet that lost its place to one with a smaller SHA-256.</summary>
public sealed record PacketConflict(ArchivedPacket Winner, ArchivedPacket Loser);
