using System.Buffers.Binary;

namespace Phasekeeper.Packets.Ccsds;

/// <summary>Sequence flags of a space packet (CCSDS 133.0-B-2, 4.1.3.4.2).</summary>
public enum SequenceFlags
{
    /// <summary>A middle segment of user data.</summary>
    Continuation = 0,
    /// <summary>The first segment.</summary>
    First = 1,
    /// <summary>The last segment.</summary>
    Last = 2,
    /// <summary>Not segmented.</summary>
    Unsegmented = 3,
}

/// <summary>
/// The six bytes that open a space packet (CCSDS 133.0-B-2, 4.1.3): version (3 bits), type (1), secondary header flag (1),
/// APID (11), sequence flags (2), sequence count (14), packet data length (16: bytes of the data field less one).
/// </summary>
public readonly record struct PrimaryHeader(int Version, int Type, bool HasSecondaryHeader, int Apid, SequenceFlags Flags, int SequenceCount, int DataLengthField)
{
    /// <summary>Bytes of the primary header.</summary>
    public const int Length = 6;

    /// <summary>APID of idle packets, which carry nothing (CCSDS 133.0-B-2, 4.1.3.3.4).</summary>
    public const int IdleApid = 2047;

    /// <summary>Sequence counts run from 0 to one less than this, then start again.</summary>
    public const int SequenceModulus = 16384;

    /// <summary>Longest possible packet, bytes.</summary>
    public const int LongestPacket = Length + 65536;

    /// <summary>Bytes of the whole packet. The length field counts the data field's bytes less one (4.1.3.5.3), so at least 7.</summary>
    public int PacketLength => Length + DataLengthField + 1;

    /// <summary>True for an idle packet.</summary>
    public bool IsIdle => Apid == IdleApid;

    /// <summary>Reads the header from the first six bytes; false when there are fewer.</summary>
    public static bool TryRead(ReadOnlySpan<byte> bytes, out PrimaryHeader header)
    {
        if (bytes.Length < Length)
        {
            header = default;
            return false;
        }
        var identification = BinaryPrimitives.ReadUInt16BigEndian(bytes);
        var sequence = BinaryPrimitives.ReadUInt16BigEndian(bytes[2..]);
        header = new(identification >> 13, identification >> 12 & 1, (identification >> 11 & 1) != 0, identification & 0x7FF,
            (SequenceFlags)(sequence >> 14), sequence & 0x3FFF, BinaryPrimitives.ReadUInt16BigEndian(bytes[4..]));
        return true;
    }

    /// <summary>Writes the six bytes.</summary>
    public void Write(Span<byte> bytes)
    {
        BinaryPrimitives.WriteUInt16BigEndian(bytes, (ushort)(Version << 13 | Type << 12 | (HasSecondaryHeader ? 0x800 : 0) | Apid));
        BinaryPrimitives.WriteUInt16BigEndian(bytes[2..], (ushort)((int)Flags << 14 | SequenceCount));
        BinaryPrimitives.WriteUInt16BigEndian(bytes[4..], (ushort)DataLengthField);
    }
}
