using System.Buffers.Binary;

namespace Phasekeeper.Packets.Ccsds;

/// <summary>
/// The packet error control: CRC-16 with polynomial x¹⁶+x¹²+x⁵+1 (0x1021), preset 0xFFFF, not reflected, no final inversion
/// (ECSS-E-ST-70-41C annex B; the frame error control of CCSDS 132.0-B). Eight bytes a step by tables ("slicing by 8").
/// </summary>
public static class Crc16
{
    /// <summary>State before the first byte.</summary>
    public const ushort Preset = 0xFFFF;

    /// <summary>Bytes of the check value.</summary>
    public const int Length = 2;

    // Tables[k * 256 + b]: the state after byte b and k zero bytes, from state 0.
    private static readonly ushort[] Tables = BuildTables();

    /// <summary>The CRC of a message.</summary>
    public static ushort Compute(ReadOnlySpan<byte> message) => Update(Preset, message);

    /// <summary>True when the last two bytes are the CRC of the ones before them.</summary>
    public static bool Check(ReadOnlySpan<byte> packet) =>
        // A message followed by its own CRC leaves the state zero.
        packet.Length > Length && Update(Preset, packet) == 0;

    /// <summary>Carries a state over more bytes.</summary>
    public static ushort Update(ushort state, ReadOnlySpan<byte> bytes)
    {
        var t = Tables;
        uint s = state;
        while (bytes.Length >= 8)
        {
            s ^= BinaryPrimitives.ReadUInt16BigEndian(bytes);
            s = (uint)(t[7 * 256 + (int)(s >> 8)] ^ t[6 * 256 + (int)(s & 0xFF)] ^ t[5 * 256 + bytes[2]] ^ t[4 * 256 + bytes[3]]
                ^ t[3 * 256 + bytes[4]] ^ t[2 * 256 + bytes[5]] ^ t[256 + bytes[6]] ^ t[bytes[7]]);
            bytes = bytes[8..];
        }
        foreach (var b in bytes) s = (s << 8 & 0xFFFF) ^ t[(int)(s >> 8) ^ b];
        return (ushort)s;
    }

    /// <summary>Carries a state over one byte.</summary>
    internal static ushort Step(ushort state, byte value) => (ushort)((state << 8 & 0xFFFF) ^ Tables[state >> 8 ^ value]);

    private static ushort[] BuildTables()
    {
        var tables = new ushort[8 * 256];
        for (var b = 0; b < 256; b++)
        {
            var s = (uint)b << 8;
            for (var bit = 0; bit < 8; bit++) s = (s & 0x8000) != 0 ? (s << 1 & 0xFFFF) ^ 0x1021 : s << 1;
            tables[b] = (ushort)s;
        }
        for (var k = 1; k < 8; k++)
            for (var b = 0; b < 256; b++)
            {
                uint s = tables[(k - 1) * 256 + b];
                tables[k * 256 + b] = (ushort)((s << 8 & 0xFFFF) ^ tables[(int)(s >> 8)]);
            }
        return tables;
    }
}
