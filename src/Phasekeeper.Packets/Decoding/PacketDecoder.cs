using Phasekeeper.Packets.Ccsds;

namespace Phasekeeper.Packets.Decoding;

/// <summary>Finds the container that a packet is, and its values. Allocates only to say why a packet is refused.</summary>
internal sealed class PacketDecoder
{
    private const int None = -1, Failed = -2;

    private readonly Node[] nodes;
    private readonly int[][] children;
    private readonly int[] roots;
    private readonly bool crc16;
    private readonly ValueRules rules;
    private readonly ContainerReader reader;

    public PacketDecoder(PlanTables tables, bool crc16)
    {
        Slot[] slots = [.. tables.Slots];
        nodes = [.. tables.Nodes];
        children = [.. tables.Nodes.Select(n => n.Children.ToArray())];
        roots = [.. tables.Roots];
        this.crc16 = crc16;
        rules = new(slots, [.. tables.Conditions]);
        reader = new(tables, slots, rules);
    }

    /// <summary>The slot's raw bits as a real number.</summary>
    public double RawNumber(int slot, long raw) => rules.RawNumber(slot, raw);

    /// <summary>Index of the matched node; negative when the packet was refused (the reason is in the values).</summary>
    public int Decode(ReadOnlySpan<byte> packet, PacketValues values)
    {
        values.Reset();
        var cursor = new Cursor();
        var matched = BestOf(roots, packet, values, ref cursor);
        if (matched == None)
            return Refuse(values, QuarantineKind.NoContainer, $"No container of the definition matches ({Refusals.Describe(packet)}).");
        if (matched == Failed || !HasRightLength(matched, packet, cursor.End, values)) return Failed;
        // A candidate that failed on the way is no reason any more.
        values.Refusal = null;
        for (var i = 0; i < values.TouchedCount; i++) rules.Finish(values.Touched[i], values);
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
            var node = nodes[candidate];
            if (node.Condition >= 0 && !rules.Holds(node.Condition, packet, values)) continue;
            // A container without criteria fits anything: it counts only when no other does.
            if (matched >= 0 && node.Condition < 0) continue;
            if (matched >= 0) values.Forget(mark);
            var attempt = start;
            var found = TryNode(candidate, packet, values, ref attempt);
            if (found == Failed) failures++;
            if (found < 0) values.Forget(mark);
            if (found >= 0 && matched >= 0 && !plain)
                return Refuse(values, QuarantineKind.NoContainer,
                    $"Both containers {nodes[matched].Container.Name} and {nodes[found].Container.Name} match ({Refusals.Describe(packet)}): the definition is ambiguous.");
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
        var node = nodes[index];
        if (!reader.Run(node, packet, values, ref cursor)) return Failed;
        if (children[index].Length > 0)
        {
            var child = BestOf(children[index], packet, values, ref cursor);
            if (child != None) return child;
        }
        return node.Container.IsAbstract ? None : index;
    }

    private bool HasRightLength(int matched, ReadOnlySpan<byte> packet, long endBit, PacketValues values)
    {
        var node = nodes[matched];
        var bytes = (endBit + 7) / 8;
        var given = packet.Length;
        if (given == bytes || (crc16 && !node.ChecksumIncluded && given == bytes + Crc16.Length)) return true;
        if (node.Children.Count > 0)
            Refusals.Refuse(values, QuarantineKind.NoContainer,
                $"Container {node.Container.Name} matches, but none of those built on it, and {given - bytes} byte(s) are left over ({Refusals.Describe(packet)}).");
        else
            Refusals.Refuse(values, QuarantineKind.BadLength,
                $"Container {node.Container.Name} describes {bytes} bytes{(crc16 && !node.ChecksumIncluded ? " before the checksum" : "")}; the packet has {given} ({Refusals.Describe(packet)}).");
        return false;
    }

    private static int Refuse(PacketValues values, QuarantineKind kind, string reason)
    {
        Refusals.Refuse(values, kind, reason);
        return Failed;
    }
}
