namespace Phasekeeper.Packets.Decoding;

/// <summary>Sizes, counts and places that a packet itself tells.</summary>
internal sealed class FieldSizes(DynamicSize[] sizes, ValueRules rules)
{
    /// <summary>Bits of a text or of bytes, and how many of them are used before a terminator; false where the packet gives no possible size.</summary>
    public bool TryExtent(in Instruction step, ReadOnlySpan<byte> packet, long bit, PacketValues values, out long size, out long used)
    {
        size = used = 0;
        var total = packet.Length * 8L;
        if (step.Size >= 0)
        {
            if (!TrySize(step.Size, values, 0, out size)) return false;
            used = size;
        }
        // A terminator (its byte is in Bits) ends the text; without a size it also ends the field.
        if (step.Bits < 0) return true;
        var limit = step.Size >= 0 ? Math.Min(size, total - bit) : total - bit;
        for (long at = 0; at + 8 <= limit; at += 8)
            if ((int)BitReader.Read(packet, (int)(bit + at), 8) == step.Bits)
            {
                used = at;
                if (step.Size < 0) size = at + 8;
                return true;
            }
        if (step.Size < 0) size = limit + 8;
        return true;
    }

    /// <summary>Number of elements over all dimensions.</summary>
    public bool TryCount(ArrayPlan array, PacketValues values, out long count)
    {
        count = 1;
        for (var d = 0; d < array.Ends.Length; d++)
        {
            if (!TrySize(array.Ends[d], values, array.Starts[d] - 1, out var end)) return false;
            count = Math.Min(count * (end - array.Starts[d] + 1), Layout.Longest);
        }
        return true;
    }

    /// <summary>A whole number of at least <paramref name="least"/>; false where it comes out as anything else.</summary>
    public bool TrySize(int index, PacketValues values, long least, out long size)
    {
        ref readonly var spec = ref sizes[index];
        size = spec.Fixed;
        if (spec.Slot < 0) return size >= least;
        if (!values.IsPresent(spec.Slot)) return false;
        double number;
        if (spec.Calibrated)
        {
            if (!rules.Calibrate(spec.Slot, values, 0)) return false;
            number = values.Numbers[spec.Slot];
        }
        else number = rules.RawNumber(spec.Slot, values.RawBits[spec.Slot]);
        number = spec.Slope * number + spec.Intercept;
        if (!(Math.Abs(number) <= Layout.Longest) || number != Math.Floor(number)) return false;
        size = (long)number;
        return size >= least;
    }
}
