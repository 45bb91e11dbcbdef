using System.Text.RegularExpressions;
using Phasekeeper.Core.Profile;
using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Packets.Decoding;

/// <summary>Joins the compiled definition with the profile: time and fringe fields, channels, lengths and APIDs of the containers.</summary>
internal sealed partial class PlanFinisher(XtceModel model, SlotTable slots, PlanCompiler compiler, XtceReadContext context)
{
    private const int HeaderBits = PrimaryHeader.Length * 8;

    private readonly PlanTables _tables = compiler.Tables;

    // What such a field is called when the definition lists it.
    [GeneratedRegex("crc|check_?sum|error_?control|(^|_)(pec|fecf|fcs)(_|$)", RegexOptions.IgnoreCase)]
    private static partial Regex ChecksumName();

    public PlanParts Finish(PacketSettings settings, FringeSettings? fringe)
    {
        var time = ReadTime(settings.Time);
        var fringeSlots = fringe is null ? null : ReadFringe(fringe);
        var fringePath = fringe is null ? null : slots.PathOfProfileName(fringe.Container, container: true, "fringe.container");
        if (fringe is not null && _tables.SampleSlot < 0 && context.Errors.Count == 0)
            context.Error(0, "fringe.samples", $"'{fringe.Samples}' is not an array in a container of packets.");
        foreach (var slot in _tables.Slots) slot.InHeader = slot.StaticBit is >= 0 and < HeaderBits;
        if (settings.Crc16) MarkChecksums();
        CheckContexts();

        ParameterInfo[] parameters = [.. _tables.Slots.Select((s, i) => new ParameterInfo(i, s.Name, s.Path, s.Type.Kind, s.Type.Unit, s.Description, s.Type.Labels, s.Type.Ranges, s.Type.LabelAlarms))];
        var timeSlots = time.Used.ToHashSet();
        var special = new HashSet<int>(fringeSlots?.All ?? []);
        if (_tables.SampleSlot >= 0) special.Add(_tables.SampleSlot);
        var channels = new List<ChannelInfo>();
        var channelOf = new Dictionary<int, ChannelInfo>();
        foreach (var slot in compiler.Filled.SelectMany(f => f).Distinct())
        {
            var s = _tables.Slots[slot];
            if (s.InHeader || s.IsChecksum || special.Contains(slot) || s.Type.Kind is ParameterKind.String or ParameterKind.Binary) continue;
            channelOf[slot] = new(channels.Count, parameters[slot], timeSlots.Contains(slot));
            channels.Add(channelOf[slot]);
        }
        var containers = new List<ContainerInfo>();
        var ofNode = new ContainerInfo?[_tables.Nodes.Count];
        var apids = new Dictionary<int, (int Shortest, int Longest)>();
        foreach (var root in _tables.Roots)
            AddContainers(root, [], Enumerable.Range(0, PrimaryHeader.IdleApid).ToArray(), false, fringePath, settings.Crc16, channelOf, containers, ofNode, apids);
        var header = timeSlots.Count > 0 && timeSlots.All(t => _tables.Slots[t].StaticBit >= HeaderBits)
            ? (timeSlots.Max(t => _tables.Slots[t].StaticBit + _tables.Slots[t].Bits) + 7) / 8 - PrimaryHeader.Length : 0;
        return new(parameters, channels, containers, ofNode, new FramingRules(settings.Crc16, apids), time, fringeSlots, header);
    }

    private void AddContainers(int index, List<int> filled, int[] apids, bool isFringe, string? fringePath, bool crc16, Dictionary<int, ChannelInfo> channelOf,
        List<ContainerInfo> containers, ContainerInfo?[] ofNode, Dictionary<int, (int Shortest, int Longest)> lengths)
    {
        var node = _tables.Nodes[index];
        filled = [.. filled, .. compiler.Filled[index]];
        apids = Narrow(apids, node.Condition);
        isFringe |= fringePath is not null && node.Container.Path == fringePath;
        if (!node.Container.IsAbstract)
        {
            var end = compiler.Ends[index];
            var (shortest, longest) = ((int)((end.EndLeast + 7) / 8), (int)((end.EndMost + 7) / 8));
            if (crc16 && !node.ChecksumIncluded) longest += Crc16.Length;
            var list = filled.Distinct().Where(channelOf.ContainsKey).Select(s => channelOf[s]).Where(c => !(isFringe && c.IsTimeField)).ToArray();
            var info = new ContainerInfo(containers.Count, node.Container.Name, node.Container.Path, node.Container.Description, apids, shortest, longest, isFringe, list);
            containers.Add(info);
            ofNode[index] = info;
            foreach (var apid in apids)
                lengths[apid] = lengths.TryGetValue(apid, out var l) ? (Math.Min(l.Shortest, shortest), Math.Max(l.Longest, longest)) : (shortest, longest);
        }
        foreach (var child in node.Children) AddContainers(child, filled, apids, isFringe, fringePath, crc16, channelOf, containers, ofNode, lengths);
    }

    // The APIDs that a condition leaves: comparisons of the whole 11-bit field count, others may be anything.
    private int[] Narrow(int[] apids, int condition)
    {
        if (condition < 0) return apids;
        foreach (var c in _tables.Conditions[condition])
        {
            var slot = _tables.Slots[c.Slot];
            if (slot.StaticBit != 5 || slot.Bits != 11 || slot.Format != NumberFormat.Unsigned || c.Mode != CompareMode.Integer || c.Calibrated) continue;
            apids = [.. apids.Where(a => c.Op switch
            {
                CompareOp.Equal => a == c.Integer,
                CompareOp.NotEqual => a != c.Integer,
                CompareOp.Less => a < c.Integer,
                CompareOp.LessOrEqual => a <= c.Integer,
                CompareOp.Greater => a > c.Integer,
                _ => a >= c.Integer,
            })];
        }
        return apids;
    }

    // A 16-bit unsigned field that closes a container and is called a checksum.
    private void MarkChecksums()
    {
        foreach (var node in _tables.Nodes)
        {
            var last = node.First + node.Count - 1;
            while (last >= node.First && _tables.Instructions[last].Op == Op.End) last--;
            if (last < node.First || _tables.Instructions[last] is not { Op: Op.Number, Bits: 16, Format: NumberFormat.Unsigned, Condition: -1 } step) continue;
            var slot = _tables.Slots[step.Slot];
            if (slot.Calibrator is not null || !ChecksumName().IsMatch(slot.Name)) continue;
            slot.IsChecksum = true;
            node.ChecksumIncluded = true;
        }
    }

    // A calibrator that depends on a parameter can be chosen only where the packet has that parameter.
    private void CheckContexts()
    {
        foreach (var root in _tables.Roots) CheckContexts(root, []);
    }

    private void CheckContexts(int index, HashSet<int> present)
    {
        var node = _tables.Nodes[index];
        present = [.. present, .. compiler.Filled[index]];
        if (!node.Container.IsAbstract)
            foreach (var slot in present)
                foreach (var comparison in _tables.Slots[slot].Contexts.SelectMany(c => _tables.Conditions[c.Condition]))
                    if (!present.Contains(comparison.Slot))
                        context.Error(node.Container.Line, "SequenceContainer",
                            $"'{node.Container.Name}' has {_tables.Slots[slot].Name}, whose calibrator depends on {_tables.Slots[comparison.Slot].Name}, but not that parameter.");
                    else if (comparison.Mode == CompareMode.Text)
                        context.Error(_tables.Slots[slot].Type.Line, "ContextMatch", $"comparing the text {_tables.Slots[comparison.Slot].Name} in a context is not supported.");
        foreach (var child in node.Children) CheckContexts(child, present);
    }

    private TimeSlots ReadTime(PacketTimeSettings time)
    {
        if (time.IsCds && time.Epoch.TimeOfDay != TimeSpan.Zero)
            context.Error(0, "packets.time.epoch", $"found {time.Epoch:yyyy-MM-ddTHH:mm:ss}; a day count starts at midnight.");
        if (time.FineBits is < 0 or > 63) context.Error(0, "packets.time.fineBits", $"found {time.FineBits}; expected 0 to 63.");
        return time.IsCds
            ? new(time, Whole(time.Day, "packets.time.day", true), Whole(time.Millisecond, "packets.time.millisecond", true), Whole(time.Microsecond, "packets.time.microsecond", false), -1, -1)
            : new(time, -1, -1, -1, Whole(time.Coarse, "packets.time.coarse", true), Whole(time.Fine, "packets.time.fine", false));
    }

    // A field that must be a raw whole number.
    private int Whole(string? name, string setting, bool required)
    {
        if (string.IsNullOrEmpty(name))
        {
            if (required) context.Error(0, setting, "is missing; expected the name of a parameter.");
            return -1;
        }
        var slot = SlotOf(name, setting);
        if (slot >= 0 && (_tables.Slots[slot].IsReal || _tables.Slots[slot].Type.Number is null))
            context.Error(0, setting, $"'{name}' is not encoded as a whole number.");
        return slot;
    }

    private FringeSlots ReadFringe(FringeSettings f) => new(SlotOf(f.Exposure, "fringe.exposure"), Labelled(f.Kind, "fringe.kind"), Labelled(f.View, "fringe.view"),
        Labelled(f.Line, "fringe.line"), SlotOf(f.Row, "fringe.row"), SlotOf(f.Integration, "fringe.integration"));

    private int Labelled(string name, string setting)
    {
        var slot = SlotOf(name, setting);
        if (slot >= 0 && _tables.Slots[slot].Type.Kind != ParameterKind.Enumerated) context.Error(0, setting, $"'{name}' is no enumerated parameter.");
        return slot;
    }

    private int SlotOf(string name, string setting)
    {
        if (slots.PathOfProfileName(name, container: false, setting) is not { } path || slots.ParameterAt(path) is not { } parameter) return -1;
        var slot = slots.SlotOf(parameter, new(name, "", 0, setting));
        if (slot >= 0 && !_tables.Slots[slot].Placed) context.Error(0, setting, $"'{name}' is in no container of packets ({model.Containers.Count} containers).");
        return slot;
    }
}
