using System.Buffers.Binary;
using System.Runtime.CompilerServices;
using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Packets.Decoding;

/// <summary>Reads numbers of any size at any bit. Bit 0 is the most significant bit of the first byte (CCSDS numbering).</summary>
public static class BitReader
{
    /// <summary>An unsigned number of 1 to 64 bits, most significant bit first. The caller has checked that it lies within the bytes.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static ulong Read(ReadOnlySpan<byte> bytes, int bit, int bits)
    {
        var at = bit >> 3;
        var shift = bit & 7;
        if (shift + bits <= 64 && at + 8 <= bytes.Length)
            return BinaryPrimitives.ReadUInt64BigEndian(bytes[at..]) << shift >> (64 - bits);
        return ReadSlow(bytes, bit, bits);
    }

    private static ulong ReadSlow(ReadOnlySpan<byte> bytes, int bit, int bits)
    {
        ulong value = 0;
        var left = bits;
        while (left > 0)
        {
            var free = 8 - (bit & 7);
            var take = Math.Min(free, left);
            var part = (uint)bytes[bit >> 3] >> (free - take) & ((1u << take) - 1);
            value = value << take | part;
            bit += take;
            left -= take;
        }
        return value;
    }

    /// <summary>Turns the bytes of a number of whole bytes round.</summary>
    internal static ulong Swap(ulong value, int bits) => BinaryPrimitives.ReverseEndianness(value) >> (64 - bits);

    /// <summary>
    /// The raw value in 64 bits: integers as signed (or, for unsigned ones, plain) numbers, real numbers as the bits of a double.
    /// </summary>
    internal static long ToRaw(ulong bits, NumberFormat format, int size) => unchecked(format switch
    {
        NumberFormat.TwosComplement => (long)(bits << (64 - size)) >> (64 - size),
        NumberFormat.SignMagnitude => (bits >> (size - 1) & 1) == 0 ? (long)bits : -(long)(bits & ~(1UL << (size - 1))),
        NumberFormat.OnesComplement => (bits >> (size - 1) & 1) == 0 ? (long)bits : -(long)(~bits & (ulong.MaxValue >> (64 - size))),
        NumberFormat.Ieee754 => BitConverter.DoubleToInt64Bits(size switch
        {
            64 => BitConverter.UInt64BitsToDouble(bits),
            32 => BitConverter.UInt32BitsToSingle((uint)bits),
            _ => (double)BitConverter.UInt16BitsToHalf((ushort)bits),
        }),
        // 24-bit two's complement fraction times a power of two of 8 bits; exact in a double.
        NumberFormat.Milstd1750A => BitConverter.DoubleToInt64Bits((double)((int)(uint)bits >> 8) * Math.ScaleB(1, (sbyte)(byte)bits - 23)),
        _ => (long)bits,
    });
}
