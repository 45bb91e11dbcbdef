using System.Buffers;
using System.Buffers.Binary;

namespace Phasekeeper.Packets.Ccsds;

/// <summary>Writes space packets one after the other: header, data field and, if asked, the CRC-16.</summary>
/// <param name="output">Where the bytes go.</param>
/// <param name="crc16">True: two bytes of CRC are added to every packet (and counted in its length).</param>
public sealed class PacketWriter(IBufferWriter<byte> output, bool crc16)
{
    /// <summary>Writes one telemetry packet.</summary>
    /// <param name="apid">0…2047.</param>
    /// <param name="sequenceCount">Any count; taken modulo 16384.</param>
    /// <param name="dataField">Secondary header and user data, without the CRC; at least one byte.</param>
    /// <param name="flags">Sequence flags.</param>
    /// <param name="secondaryHeader">Value of the secondary header flag.</param>
    /// <exception cref="ArgumentException">APID or data field out of range.</exception>
    public void Write(int apid, long sequenceCount, ReadOnlySpan<byte> dataField,
        SequenceFlags flags = SequenceFlags.Unsegmented, bool secondaryHeader = true)
    {
        if (apid is < 0 or > 2047) throw new ArgumentException($"APID is {apid}; expected 0 to 2047.", nameof(apid));
        var dataLength = dataField.Length + (crc16 ? Crc16.Length : 0);
        if (dataField.Length < 1 || dataLength > 65536)
            throw new ArgumentException($"The data field with its checksum has {dataLength} bytes; expected at least one byte of data and at most 65536 in all.", nameof(dataField));
        var count = (int)((sequenceCount % PrimaryHeader.SequenceModulus + PrimaryHeader.SequenceModulus) % PrimaryHeader.SequenceModulus);
        var packet = output.GetSpan(PrimaryHeader.Length + dataLength)[..(PrimaryHeader.Length + dataLength)];
        new PrimaryHeader(0, 0, secondaryHeader, apid, flags, count, dataLength - 1).Write(packet);
        dataField.CopyTo(packet[PrimaryHeader.Length..]);
        if (crc16) BinaryPrimitives.WriteUInt16BigEndian(packet[^2..], Crc16.Compute(packet[..^2]));
        output.Advance(packet.Length);
    }
}
