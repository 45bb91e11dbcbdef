using System.Buffers.Binary;
using System.Runtime.InteropServices;
using Phasekeeper.Core.Time;
using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Packets.Decoding;

/// <summary>Walks the plan's instructions over one packet. Allocates only to say why a packet is refused.</summary>
internal sealed class PacketDecoder
{
    private const int None = -1, Failed = -2;
    private const int DeepestNesting = 34;
    private const int DeepestContext = 8;

    private readonly Slot[] _slots;
    private readonly Instruction[] _instructions;
    private readonly DynamicSize[] _sizes;
    private readonly CompiledComparison[][] _conditions;
    private readonly ArrayPlan[] _arrays;
    private readonly Node[] _nodes;
    private readonly int[][] _children;
    private readonly int[] _roots;
    private readonly bool _crc16;

    public PacketDecoder(PlanTables tables, bool crc16)
    {
        _slots = [.. tables.Slots];
        _instructions = [.. tables.Instructions];
        _sizes = [.. tables.Sizes];
        _conditions = [.. tables.Conditions];
        _arrays = [.. tables.Arrays];
        _nodes = [.. tables.Nodes];
        _children = [.. tables.Nodes.Select(n => n.Children.ToArray())];
        _roots = [.. tables.Roots];
        _crc16 = crc16;
    }

    private struct Cursor
    {
        public long Bit, End;
    }

    /// <summary>Index of the matched node; negative when the packet was refused (the reason is in the values).</summary>
    public int Decode(ReadOnlySpan<byte> packet, PacketValues values)
    {
        values.Reset();
        var cursor = new Cursor();
        var matched = BestOf(_roots, packet, values, ref cursor);
        if (matched == None)
            return Refuse(values, QuarantineKind.NoContainer, $"No container of the definition matches ({Describe(packet)}).");
        if (matched == Failed || !HasRightLength(matched, packet, cursor.End, values)) return Failed;
        // A candidate that failed on the way is no reason any more.
        values.Refusal = null;
        for (var i = 0; i < values.TouchedCount; i++) Finish(values.Touched[i], values);
        return matched;
    }

    // Tries the candidates; the one that matches leaves its values and cursor behind.
    private int BestOf(int[] candidates, ReadOnlySpan<byte> packet, PacketValues values, ref Cursor cursor)
    {
        var start = cursor;
        var mark = values.TouchedCount;
        int matched = None, from = None, failures = 0;
        var plain = false;
        foreach (var candidate in candidates)
        {
            var node = _nodes[candidate];
            if (node.Condition >= 0 && !Holds(node.Condition, packet, values)) continue;
            // A container without criteria fits anything: it counts only when no other does.
            if (matched >= 0 && node.Condition < 0) continue;
            if (matched >= 0) values.Forget(mark);
            var attempt = start;
            var found = TryNode(candidate, packet, values, ref attempt);
            if (found == Failed) failures++;
            if (found < 0) values.Forget(mark);
            if (found >= 0 && matched >= 0 && !plain)
                return Refuse(values, QuarantineKind.NoContainer,
                    $"Both containers {_nodes[matched].Container.Name} and {_nodes[found].Container.Name} match ({Describe(packet)}): the definition is ambiguous.");
            if (found >= 0)
            {
                (matched, from, cursor) = (found, candidate, attempt);
                plain = node.Condition < 0;
            }
            else if (matched >= 0)
            {
                // The earlier match's values were forgotten for this attempt: they are read again.
                cursor = start;
                TryNode(from, packet, values, ref cursor);
            }
        }
        return matched >= 0 ? matched : failures > 0 ? Failed : None;
    }

    private int TryNode(int index, ReadOnlySpan<byte> packet, PacketValues values, ref Cursor cursor)
    {
        var node = _nodes[index];
        if (!Run(node, packet, values, ref cursor)) return Failed;
        if (_children[index].Length > 0)
        {
            var child = BestOf(_children[index], packet, values, ref cursor);
            if (child != None) return child;
        }
        return node.Container.IsAbstract ? None : index;
    }

    private bool HasRightLength(int matched, ReadOnlySpan<byte> packet, long endBit, PacketValues values)
    {
        var node = _nodes[matched];
        var bytes = (endBit + 7) / 8;
        var given = packet.Length;
        if (given == bytes || (_crc16 && !node.ChecksumIncluded && given == bytes + Crc16.Length)) return true;
        if (node.Children.Count > 0)
            Refuse(values, QuarantineKind.NoContainer,
                $"Container {node.Container.Name} matches, but none of those built on it, and {given - bytes} byte(s) are left over ({Describe(packet)}).");
        else
            Refuse(values, QuarantineKind.BadLength,
                $"Container {node.Container.Name} describes {bytes} bytes{(_crc16 && !node.ChecksumIncluded ? " before the checksum" : "")}; the packet has {given} ({Describe(packet)}).");
        return false;
    }

    private bool Run(Node node, ReadOnlySpan<byte> packet, PacketValues values, ref Cursor cursor)
    {
        // Starts of the containers that are being read, outermost first: the packet itself is 0.
        Span<long> starts = stackalloc long[DeepestNesting];
        starts[0] = 0;
        var depth = 0;
        var total = packet.Length * 8L;
        var last = node.First + node.Count;
        for (var i = node.First; i < last; i++)
        {
            ref readonly var step = ref _instructions[i];
            if (step.Op == Op.End)
            {
                depth--;
                continue;
            }
            if (step.Condition >= 0 && !Holds(step.Condition, packet, values))
            {
                if (step.Op == Op.Begin) i = step.Jump - 1;
                continue;
            }
            var bit = cursor.Bit;
            if (step.Location >= 0)
            {
                if (!TrySize(step.Location, values, long.MinValue, out var offset)) return BadSize(node, step, values, packet);
                bit = (step.FromStart ? starts[depth] : bit) + offset;
                if (bit < 0 || bit > total) return TooShort(node, step, values, packet, bit);
            }
            long size;
            switch (step.Op)
            {
                case Op.Begin:
                    starts[++depth] = bit;
                    cursor.Bit = bit;
                    continue;
                case Op.Number:
                    size = step.Bits;
                    if (bit + size > total) return TooShort(node, step, values, packet, bit + size);
                    var raw = BitReader.Read(packet, (int)bit, step.Bits);
                    if (step.Little) raw = BitReader.Swap(raw, step.Bits);
                    values.Put(step.Slot, BitReader.ToRaw(raw, step.Format, step.Bits));
                    break;
                case Op.Bytes:
                    if (!TryExtent(step, packet, bit, values, out size, out var used)) return BadSize(node, step, values, packet);
                    if (bit + size > total) return TooShort(node, step, values, packet, bit + size);
                    values.Put(step.Slot, bit);
                    values.Extents[step.Slot] = (int)used;
                    break;
                default:
                    var array = _arrays[step.Array];
                    if (!TryCount(array, values, out var count)) return BadSize(node, step, values, packet);
                    size = count * step.Bits;
                    if (bit + size > total) return TooShort(node, step, values, packet, bit + size);
                    if (step.Op == Op.Samples)
                    {
                        if (!ReadSamples(step, array, packet, (int)bit, (int)count, values)) return false;
                    }
                    else ReadElements(step, array, packet, (int)bit, (int)Math.Min(count, array.SlotCount), values);
                    break;
            }
            cursor.Bit = bit + size;
            if (cursor.Bit > cursor.End) cursor.End = cursor.Bit;
        }
        return true;
    }

    private static void ReadElements(in Instruction step, ArrayPlan array, ReadOnlySpan<byte> packet, int bit, int count, PacketValues values)
    {
        for (var k = 0; k < count; k++, bit += step.Bits)
        {
            var raw = BitReader.Read(packet, bit, step.Bits);
            if (step.Little) raw = BitReader.Swap(raw, step.Bits);
            values.Put(array.FirstSlot + k, BitReader.ToRaw(raw, step.Format, step.Bits));
        }
    }

    private bool ReadSamples(in Instruction step, ArrayPlan array, ReadOnlySpan<byte> packet, int bit, int count, PacketValues values)
    {
        if (values.SampleBuffer.Length < count) values.SampleBuffer = new ushort[count];
        var samples = values.SampleBuffer.AsSpan(0, count);
        values.SampleCount = count;
        var slot = _slots[array.ElementSlot];
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
            var number = RawNumber(array.ElementSlot, raw);
            var calibrator = ChooseCalibrator(array.ElementSlot, values, out var known);
            var valid = known && (calibrator is null || calibrator.TryApply(number, out number));
            var count16 = Math.Round(number, MidpointRounding.AwayFromZero);
            if (!valid || !(count16 >= 0 && count16 <= ushort.MaxValue))
            {
                Refuse(values, QuarantineKind.BadValue, $"Sample {k} of {array.Name} is {(valid ? number : double.NaN)}; expected counts from 0 to {ushort.MaxValue} ({Describe(packet)}).");
                return false;
            }
            samples[k] = (ushort)count16;
        }
        return true;
    }

    /// <summary>16-bit counts of whole bytes: a copy with the bytes of each turned round where the machine's order differs.</summary>
    internal static void Copy16(ReadOnlySpan<byte> from, Span<ushort> to, bool little)
    {
        var source = MemoryMarshal.Cast<byte, ushort>(from);
        if (little == BitConverter.IsLittleEndian) source.CopyTo(to);
        // The framework's own loop is vectorised for every width the machine has.
        else BinaryPrimitives.ReverseEndianness(source, to);
    }

    private bool TryExtent(in Instruction step, ReadOnlySpan<byte> packet, long bit, PacketValues values, out long size, out long used)
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

    private bool TryCount(ArrayPlan array, PacketValues values, out long count)
    {
        count = 1;
        for (var d = 0; d < array.Ends.Length; d++)
        {
            if (!TrySize(array.Ends[d], values, array.Starts[d] - 1, out var end)) return false;
            count = Math.Min(count * (end - array.Starts[d] + 1), Layout.Longest);
        }
        return true;
    }

    private bool TrySize(int index, PacketValues values, long least, out long size)
    {
        ref readonly var spec = ref _sizes[index];
        size = spec.Fixed;
        if (spec.Slot < 0) return size >= least;
        if (!values.IsPresent(spec.Slot)) return false;
        double number;
        if (spec.Calibrated)
        {
            if (!Calibrate(spec.Slot, values, 0)) return false;
            number = values.Numbers[spec.Slot];
        }
        else number = RawNumber(spec.Slot, values.RawBits[spec.Slot]);
        number = spec.Slope * number + spec.Intercept;
        if (!(Math.Abs(number) <= Layout.Longest) || number != Math.Floor(number)) return false;
        size = (long)number;
        return size >= least;
    }

    public double RawNumber(int slot, long raw)
    {
        var s = _slots[slot];
        if (s.IsReal) return BitConverter.Int64BitsToDouble(raw);
        return s.Format == NumberFormat.Unsigned ? unchecked((ulong)raw) : raw;
    }

    // Which calibrator holds for this packet; false in known when it depends on something that the packet does not have.
    private Calibrator? ChooseCalibrator(int slot, PacketValues values, out bool known, int depth = 0)
    {
        var s = _slots[slot];
        known = true;
        foreach (var context in s.Contexts)
        {
            foreach (var comparison in _conditions[context.Condition])
                if (!values.IsPresent(comparison.Slot) || depth >= DeepestContext) known = false;
            if (!known) return null;
            if (Holds(context.Condition, default, values, depth + 1)) return context.Calibrator;
        }
        return s.Calibrator;
    }

    private bool Calibrate(int slot, PacketValues values, int depth)
    {
        var state = values.State[slot];
        if ((state & PacketValues.CalibrationTried) != 0) return (state & PacketValues.Calibrated) != 0;
        if (_slots[slot].Type.Kind is ParameterKind.String or ParameterKind.Binary) return false;
        var number = RawNumber(slot, values.RawBits[slot]);
        var calibrator = ChooseCalibrator(slot, values, out var known, depth);
        var valid = known && (calibrator is null ? double.IsFinite(number) : calibrator.TryApply(number, out number));
        if (valid && _slots[slot].Type.Time is { } time) valid = TryTime(time, number, out number);
        values.Numbers[slot] = number;
        values.State[slot] = (byte)(state | PacketValues.CalibrationTried | (valid ? PacketValues.Calibrated : 0));
        return valid;
    }

    private static bool TryTime(TimeSpec time, double raw, out double unixSeconds)
    {
        var seconds = time.Offset + time.Scale * raw;
        unixSeconds = seconds;
        // 1678 to 2262 is what an Instant can hold; half of that either way is far beyond any mission.
        if (!(Math.Abs(seconds) < 4.5e9)) return false;
        if (time.LeapSecondsCounted) unixSeconds = time.Epoch.AddSeconds(seconds).ToUnixSeconds();
        return true;
    }

    // Everything that follows from a raw value.
    private void Finish(int slot, PacketValues values)
    {
        var type = _slots[slot].Type;
        var valid = Calibrate(slot, values, 0);
        values.LabelIndexes[slot] = type.Labels?.IndexOf(values.RawBits[slot]) ?? -1;
        values.Alarms[slot] = AlarmLevel.Normal;
        if (type.Ranges is { } ranges && valid) values.Alarms[slot] = ranges.LevelOf(values.Numbers[slot]);
        if (type.LabelAlarms is { } alarms)
            values.Alarms[slot] = values.LabelIndexes[slot] is >= 0 and var label ? alarms.LevelOfLabel[label] : alarms.Otherwise;
    }

    private bool Holds(int condition, ReadOnlySpan<byte> packet, PacketValues values, int depth = 0)
    {
        foreach (ref readonly var comparison in _conditions[condition].AsSpan())
            if (!Holds(comparison, packet, values, depth)) return false;
        return true;
    }

    private bool Holds(in CompiledComparison comparison, ReadOnlySpan<byte> packet, PacketValues values, int depth)
    {
        var slot = comparison.Slot;
        if (!values.IsPresent(slot)) return false;
        var raw = values.RawBits[slot];
        switch (comparison.Mode)
        {
            case CompareMode.Integer:
                // A 64-bit unsigned number with its top bit set is above anything that a comparison can name.
                var order = raw < 0 && _slots[slot].Format == NumberFormat.Unsigned ? 1 : raw.CompareTo(comparison.Integer);
                return Agrees(comparison.Op, order);
            case CompareMode.Label:
                return _slots[slot].Type.Labels!.IndexOf(raw) == comparison.Label == (comparison.Op == CompareOp.Equal);
            case CompareMode.Text:
                // An empty span stands for "packet not at hand" (contexts): texts are compared in criteria and conditions only.
                return !packet.IsEmpty && values.GetText(slot, packet) == comparison.Text == (comparison.Op == CompareOp.Equal);
            default:
                double number;
                if (!comparison.Calibrated) number = RawNumber(slot, raw);
                else if (Calibrate(slot, values, depth)) number = values.Numbers[slot];
                else return false;
                return !double.IsNaN(number) && Agrees(comparison.Op, number.CompareTo(comparison.Number));
        }
    }

    private static bool Agrees(CompareOp op, int order) => op switch
    {
        CompareOp.Equal => order == 0,
        CompareOp.NotEqual => order != 0,
        CompareOp.Less => order < 0,
        CompareOp.LessOrEqual => order <= 0,
        CompareOp.Greater => order > 0,
        _ => order >= 0,
    };

    private string NameOf(in Instruction step) => step.Array >= 0 ? _arrays[step.Array].Name : step.Slot >= 0 ? _slots[step.Slot].Name : "a container";

    private bool TooShort(Node node, in Instruction step, PacketValues values, ReadOnlySpan<byte> packet, long bit)
    {
        Refuse(values, QuarantineKind.BadLength,
            $"Container {node.Container.Name} needs bits up to {bit} for {NameOf(step)}; the packet has {packet.Length * 8L} ({Describe(packet)}).");
        return false;
    }

    private bool BadSize(Node node, in Instruction step, PacketValues values, ReadOnlySpan<byte> packet)
    {
        Refuse(values, QuarantineKind.BadLength,
            $"In container {node.Container.Name} the size, count or place of {NameOf(step)} comes out as no whole number that is possible ({Describe(packet)}).");
        return false;
    }

    private static int Refuse(PacketValues values, QuarantineKind kind, string reason)
    {
        values.Refusal = new(kind, reason);
        return Failed;
    }

    private static string Describe(ReadOnlySpan<byte> packet) => PrimaryHeader.TryRead(packet, out var h)
        ? $"APID {h.Apid}, sequence count {h.SequenceCount}, {packet.Length} bytes"
        : $"{packet.Length} bytes, no packet header";
}
