using System.Buffers.Binary;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Demo.Telemetry;

/// <summary>
/// Writes CCSDS space packets (133.0-B-2) of telemetry: primary header, time field (day of 1958 in 16 bits, millisecond in 32,
/// microsecond in 16; UTC), data, and CRC-16-CCITT (0xFFFF, 0x1021) over all of it in the last two bytes.
/// </summary>
public static class PacketBuilder
{
    /// <summary>Bytes before the data: primary header and time.</summary>
    public const int HeaderBytes = 14;
    /// <summary>Bytes after the data: the checksum.</summary>
    public const int TrailerBytes = 2;

    // 1970-01-01 is day 4383 of the 1958 epoch.
    private const int Epoch1958 = 4383;
    private static readonly ushort[] CrcTable = MakeCrcTable();

    /// <summary>Writes header, time and checksum around the data that already stand in <paramref name="packet"/> from byte 14 to 2 before its end.</summary>
    /// <param name="packet">The whole packet.</param>
    /// <param name="apid">Application process id, 0…2047.</param>
    /// <param name="count">Sequence count; its lowest 14 bits are written.</param>
    /// <param name="time">Time of the packet.</param>
    public static void Seal(Span<byte> packet, int apid, long count, Instant time)
    {
        BinaryPrimitives.WriteUInt16BigEndian(packet, (ushort)(0x0800 | apid));
        BinaryPrimitives.WriteUInt16BigEndian(packet[2..], (ushort)(0xC000 | (int)(count & 0x3FFF)));
        // Length field: number of bytes after the primary header, less one.
        BinaryPrimitives.WriteUInt16BigEndian(packet[4..], (ushort)(packet.Length - 7));
        var (day, nanoseconds) = time.ToUnixDay();
        BinaryPrimitives.WriteUInt16BigEndian(packet[6..], (ushort)(day + Epoch1958));
        BinaryPrimitives.WriteUInt32BigEndian(packet[8..], (uint)(nanoseconds / 1_000_000));
        BinaryPrimitives.WriteUInt16BigEndian(packet[12..], (ushort)(nanoseconds / 1000 % 1000));
        BinaryPrimitives.WriteUInt16BigEndian(packet[^2..], Checksum(packet[..^2]));
    }

    /// <summary>CRC-16-CCITT of bytes.</summary>
    public static ushort Checksum(ReadOnlySpan<byte> bytes)
    {
        ushort crc = 0xFFFF;
        foreach (var b in bytes) crc = (ushort)((crc << 8) ^ CrcTable[(crc >> 8) ^ b]);
        return crc;
    }

    private static ushort[] MakeCrcTable()
    {
        var table = new ushort[256];
        for (var i = 0; i < 256; i++)
        {
            var r = i << 8;
            for (var bit = 0; bit < 8; bit++) r = (r & 0x8000) != 0 ? (r << 1) ^ 0x1021 : r << 1;
            table[i] = (ushort)r;
        }
        return table;
    }
}
