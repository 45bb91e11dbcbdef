namespace Phasekeeper.Packets.Decoding;

/// <summary>Where reading stands: the next bit, and the furthest one read.</summary>
internal struct Cursor
{
    public long Bit, End;
}

/// <summary>Runs the instructions of one container over a packet: raw values into their slots.</summary>
internal sealed class ContainerReader(PlanTables tables, Slot[] slots, ValueRules rules)
{
    private const int DeepestNesting = 34;
    private readonly Instruction[] instructions = [.. tables.Instructions];
    private readonly ArrayPlan[] arrays = [.. tables.Arrays];
    private readonly FieldSizes sizes = new([.. tables.Sizes], rules);
    private readonly ArrayReader elements = new(slots, rules);

    /// <summary>Reads a container; false, with the reason in the values, where the packet does not hold what it describes.</summary>
    public bool Run(Node node, ReadOnlySpan<byte> packet, PacketValues values, ref Cursor cursor)
    {
        // Starts of the containers that are being read, outermost first: the packet itself is 0.
        Span<long> starts = stackalloc long[DeepestNesting];
        starts[0] = 0;
        var depth = 0;
        var total = packet.Length * 8L;
        var last = node.First + node.Count;
        for (var i = node.First; i < last; i++)
        {
            ref readonly var step = ref instructions[i];
            if (step.Op == Op.End)
            {
                depth--;
                continue;
            }
            if (step.Condition >= 0 && !rules.Holds(step.Condition, packet, values))
            {
                if (step.Op == Op.Begin) i = step.Jump - 1;
                continue;
            }
            var bit = cursor.Bit;
            if (step.Location >= 0)
            {
                if (!sizes.TrySize(step.Location, values, long.MinValue, out var offset)) return Refusals.BadSize(node, NameOf(step), values, packet);
                bit = (step.FromStart ? starts[depth] : bit) + offset;
                if (bit < 0 || bit > total) return Refusals.TooShort(node, NameOf(step), values, packet, bit);
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
                    if (bit + size > total) return Refusals.TooShort(node, NameOf(step), values, packet, bit + size);
                    var raw = BitReader.Read(packet, (int)bit, step.Bits);
                    if (step.Little) raw = BitReader.Swap(raw, step.Bits);
                    values.Put(step.Slot, BitReader.ToRaw(raw, step.Format, step.Bits));
                    break;
                case Op.Bytes:
                    if (!sizes.TryExtent(step, packet, bit, values, out size, out var used)) return Refusals.BadSize(node, NameOf(step), values, packet);
                    if (bit + size > total) return Refusals.TooShort(node, NameOf(step), values, packet, bit + size);
                    values.Put(step.Slot, bit);
                    values.Extents[step.Slot] = (int)used;
                    break;
                default:
                    var array = arrays[step.Array];
                    if (!sizes.TryCount(array, values, out var count)) return Refusals.BadSize(node, NameOf(step), values, packet);
                    size = count * step.Bits;
                    if (bit + size > total) return Refusals.TooShort(node, NameOf(step), values, packet, bit + size);
                    if (step.Op == Op.Samples)
                    {
                        if (!elements.ReadSamples(step, array, packet, (int)bit, (int)count, values)) return false;
                    }
                    else ArrayReader.ReadElements(step, array, packet, (int)bit, (int)Math.Min(count, array.SlotCount), values);
                    break;
            }
            cursor.Bit = bit + size;
            if (cursor.Bit > cursor.End) cursor.End = cursor.Bit;
        }
        return true;
    }

    private string NameOf(in Instruction step) => step.Array >= 0 ? arrays[step.Array].Name : step.Slot >= 0 ? slots[step.Slot].Name : "a container";
}
