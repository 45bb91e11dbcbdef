namespace Phasekeeper.Packets.Ccsds;

/// <summary>
/// CRCs of any stretch of a window in constant time, so that a search for packets in garbage stays linear in its length whatever
/// lengths the garbage pretends to. The CRC is linear: with P(i) the state after i bytes from state 0,
/// the state of bytes a…b from preset S is P(b) ⊕ (S ⊕ P(a))·x^(8(b−a)) mod g(x).
/// </summary>
internal sealed class CrcWindow
{
    // x^(8n) mod g(x), n = 0 … longest packet.
    private static readonly ushort[] Shifts = BuildShifts();

    private readonly ushort[] _prefix;
    private readonly int _start;

    /// <summary>Prepares the bytes from <paramref name="start"/> to <paramref name="end"/> (exclusive).</summary>
    public CrcWindow(ReadOnlySpan<byte> bytes, int start, int end)
    {
        _start = start;
        End = end;
        _prefix = new ushort[end - start + 1];
        ushort state = 0;
        for (var i = start; i < end; i++)
        {
            state = Crc16.Step(state, bytes[i]);
            _prefix[i - start + 1] = state;
        }
    }

    /// <summary>End of the window (exclusive).</summary>
    public int End { get; }

    /// <summary>True when the packet at <paramref name="offset"/> of <paramref name="length"/> bytes ends with its own CRC.</summary>
    public bool Check(int offset, int length)
    {
        var a = _prefix[offset - _start];
        var b = _prefix[offset - _start + length];
        return length > Crc16.Length && (b ^ Multiply((ushort)(Crc16.Preset ^ a), Shifts[length])) == 0;
    }

    private static ushort Multiply(ushort a, ushort b)
    {
        uint product = 0;
        for (var bit = 15; bit >= 0; bit--)
        {
            product = (product & 0x8000) != 0 ? (product << 1 & 0xFFFF) ^ 0x1021 : product << 1;
            if ((b >> bit & 1) != 0) product ^= a;
        }
        return (ushort)product;
    }

    private static ushort[] BuildShifts()
    {
        var shifts = new ushort[PrimaryHeader.LongestPacket + 1];
        shifts[0] = 1;
        for (var n = 1; n < shifts.Length; n++) shifts[n] = Crc16.Step(shifts[n - 1], 0);
        return shifts;
    }
}
