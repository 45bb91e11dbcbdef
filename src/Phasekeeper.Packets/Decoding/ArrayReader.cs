using System.Buffers.Binary;
using System.Runtime.InteropServices;
using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Packets.Decoding;

/// <summary>Elements of arrays: each into a slot of its own, or the counts of a fringe row into one buffer.</summary>
internal sealed class ArrayReader(Slot[] slots, ValueRules rules)
{
    /// <summary>Elements with slots.</summary>
    public static void ReadElements(in Instruction step, ArrayPlan array, ReadOnlySpan<byte> packet, int bit, int count, PacketValues values)
    {
        for (var k = 0; k < count; k++, bit += step.Bits)
        {
            var raw = BitReader.Read(packet, bit, step.Bits);
            if (step.Little) raw = BitReader.Swap(raw, step.Bits);
            values.Put(array.FirstSlot + k, BitReader.ToRaw(raw, step.Format, step.Bits));
        }
    }

    /// <summary>Counts of a fringe row; false, with the reason in the values, where one is no count.</summary>
    public bool ReadSamples(in Instruction step, ArrayPlan array, ReadOnlySpan<byte> packet, int bit, int count, PacketValues values)
    {
        if (values.SampleBuffer.Length < count) values.SampleBuffer = new ushort[count];
        var samples = values.SampleBuffer.AsSpan(0, count);
        values.SampleCount = count;
        var slot = slots[array.ElementSlot];
        var plain = slot.Calibrator is null && slot.Contexts.Length == 0;
        if (plain && step.Format == NumberFormat.Unsigned && step.Bits == 16 && (bit & 7) == 0)
        {
            Copy16(packet.Slice(bit >> 3, count * 2), samples, step.Little);
            return true;
        }
        for (var k = 0; k < count; k++, bit += step.Bits)
        {
            var bits = BitReader.Read(packet, bit, step.Bits);
            if (step.Little) bits = BitReader.Swap(bits, step.Bits);
            if (plain && step.Format == NumberFormat.Unsigned && bits <= ushort.MaxValue)
            {
                samples[k] = (ushort)bits;
                continue;
            }
            var raw = BitReader.ToRaw(bits, step.Format, step.Bits);
            var number = rules.RawNumber(array.ElementSlot, raw);
            var calibrator = rules.ChooseCalibrator(array.ElementSlot, values, out var known);
            var valid = known && (calibrator is null || calibrator.TryApply(number, out number));
            var count16 = Math.Round(number, MidpointRounding.AwayFromZero);
            if (!valid || !(count16 >= 0 && count16 <= ushort.MaxValue))
            {
                Refusals.Refuse(values, QuarantineKind.BadValue, $"Sample {k} of {array.Name} is {(valid ? number : double.NaN)}; expected counts from 0 to {ushort.MaxValue} ({Refusals.Describe(packet)}).");
                return false;
            }
            samples[k] = (ushort)count16;
        }
        return true;
    }

    /// <summary>16-bit counts of whole bytes: a copy with the bytes of each turned round where the machine's order differs.</summary>
    public static void Copy16(ReadOnlySpan<byte> from, Span<ushort> to, bool little)
    {
        var source = MemoryMarshal.Cast<byte, ushort>(from);
        if (little == BitConverter.IsLittleEndian) source.CopyTo(to);
        // The framework's own loop is vectorised for every width the machine has.
        else BinaryPrimitives.ReverseEndianness(source, to);
    }
}
