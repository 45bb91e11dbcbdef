using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Packets.Decoding;

/// <summary>Turns a definition's containers into instructions, one run of them a container of the inheritance tree.</summary>
internal sealed class PlanCompiler
{
    private const int MostInstructions = 200_000;
    private const int DeepestNesting = 32;

    /// <summary>Elements of an array of changing size that become channels; further ones are read over.</summary>
    public const int MostDynamicElements = 1024;

    private readonly XtceModel _model;
    private readonly XtceReadContext _context;
    private readonly SlotTable _slots;
    private readonly ConditionCompiler _conditions;
    private readonly string? _samplesPath;
    private readonly Dictionary<ContainerSpec, ContainerSpec?> _baseOf = [];
    private bool _tooLarge;

    public PlanCompiler(XtceModel model, SlotTable slots, PlanTables tables, string? samplesPath, XtceReadContext context)
    {
        _model = model;
        _slots = slots;
        Tables = tables;
        _samplesPath = samplesPath;
        _context = context;
        _conditions = new(slots, tables, context);
    }

    public PlanTables Tables { get; }

    /// <summary>Layout after each node's entries, by node.</summary>
    public List<Layout> Ends { get; } = [];

    /// <summary>Slots that each node's own entries can fill, by node.</summary>
    public List<List<int>> Filled { get; } = [];

    public void Compile()
    {
        var referenced = new HashSet<ContainerSpec>();
        foreach (var container in _model.Containers)
        {
            _baseOf[container] = container.Base is null ? null : _slots.FindContainer(container.Base);
            foreach (var entry in container.Entries)
                if (entry.Kind == EntryKind.Container && _slots.FindContainer(entry.Target) is { } target) referenced.Add(target);
        }
        foreach (var container in _model.Containers)
            for (var (b, depth) = (_baseOf[container], 0); b is not null; b = _baseOf[b], depth++)
                if (b == container || depth > DeepestNesting)
                {
                    _context.Error(container.Line, "SequenceContainer", b == container ? $"'{container.Name}' is built on itself." : $"'{container.Name}' is built on more than {DeepestNesting} others.");
                    return;
                }
        foreach (var container in _model.Containers)
        {
            if (_baseOf[container] is not null || container.Base is not null) continue;
            var inherited = _model.Containers.Exists(c => _baseOf[c] == container);
            // A container that others only include is a part, not a packet.
            if (!inherited && (container.IsAbstract || referenced.Contains(container))) continue;
            Tables.Roots.Add(AddNode(container, default));
        }
        if (Tables.Roots.Count == 0) _context.Error(0, "ContainerSet", "no container describes a packet.");
        CompileContexts();
    }

    private int AddNode(ContainerSpec container, Layout layout)
    {
        var index = Tables.Nodes.Count;
        var node = new Node { Container = container, First = Tables.Instructions.Count, Condition = _conditions.Compile(container.Criteria) };
        Tables.Nodes.Add(node);
        Ends.Add(layout);
        Filled.Add([]);
        AddEntries(container, ref layout, Filled[index], [container]);
        node.Count = Tables.Instructions.Count - node.First;
        Ends[index] = layout;
        foreach (var child in _model.Containers)
            if (_baseOf[child] == container) node.Children.Add(AddNode(child, layout));
        return index;
    }

    private void AddEntries(ContainerSpec container, ref Layout layout, List<int> filled, List<ContainerSpec> within)
    {
        foreach (var entry in container.Entries)
        {
            if (_tooLarge) return;
            if (Tables.Instructions.Count > MostInstructions)
            {
                _tooLarge = true;
                _context.Error(entry.Line, "EntryList", $"containers within containers come to more than {MostInstructions} entries.");
                return;
            }
            var before = layout;
            var instruction = new Instruction { Slot = -1, Size = -1, Array = -1, Location = -1, FromStart = entry.FromContainerStart, Condition = _conditions.Compile(entry.Include) };
            if (entry.Location is { } location)
            {
                instruction.Location = AddSize(location);
                var (least, most) = RangeOf(Tables.Sizes[instruction.Location], -Layout.Longest);
                layout.MoveTo(entry.FromContainerStart, least, most);
            }
            switch (entry.Kind)
            {
                case EntryKind.Container: AddContainer(entry, instruction, ref layout, filled, within); break;
                case EntryKind.Array: AddArray(entry, instruction, ref layout, filled); break;
                default: AddParameter(entry, instruction, ref layout, filled); break;
            }
            if (entry.Include.Count > 0) layout = layout.Or(before);
        }
    }

    private void AddParameter(EntrySpec entry, Instruction instruction, ref Layout layout, List<int> filled)
    {
        if (_slots.FindParameter(entry.Target) is not { } parameter || _slots.TypeOf(parameter) is not { } type) return;
        if (type.Kind == ParameterKind.Array)
        {
            AddArray(entry, instruction, ref layout, filled);
            return;
        }
        var index = _slots.SlotOf(parameter, entry.Target);
        Place(index, layout);
        filled.Add(index);
        instruction.Slot = index;
        if (type.Number is { } number)
        {
            instruction.Op = Op.Number;
            (instruction.Bits, instruction.Format, instruction.Little) = (number.Bits, number.Format, number.LittleEndian);
            layout.Take(number.Bits, number.Bits);
        }
        else if (type.Bytes is { } bytes)
        {
            instruction.Op = Op.Bytes;
            instruction.Bits = bytes.Terminator;
            var (least, most) = (0L, Layout.Longest);
            if (bytes.Size is { } size)
            {
                instruction.Size = AddSize(size);
                (least, most) = RangeOf(Tables.Sizes[instruction.Size], 0);
            }
            layout.Take(least, most);
        }
        else return;
        Tables.Instructions.Add(instruction);
    }

    private void AddArray(EntrySpec entry, Instruction instruction, ref Layout layout, List<int> filled)
    {
        if (_slots.FindParameter(entry.Target) is not { } parameter || _slots.TypeOf(parameter) is not { } type) return;
        if (type.ElementType is not { } elementName)
        {
            _context.Error(entry.Line, "ArrayParameterRefEntry", $"'{entry.Target.Text}' is no array.");
            return;
        }
        if (_slots.FindType(elementName) is not { } element) return;
        if (element.Number is not { } number || element.Kind == ParameterKind.AbsoluteTime)
        {
            _context.Error(elementName.Line, elementName.Element, $"arrays of '{elementName.Text}' are not supported; supported: arrays of numbers, enumerated and boolean types.");
            return;
        }
        var dimensions = entry.Dimensions ?? type.Dimensions;
        if (dimensions.Count == 0)
        {
            _context.Error(entry.Line, "ArrayParameterRefEntry", $"neither the entry nor its type gives the dimensions of '{entry.Target.Text}'.");
            return;
        }
        var isSamples = parameter.Path == _samplesPath;
        var (countLeast, countMost, isFixed) = (1L, 1L, true);
        var extents = new List<long>();
        foreach (var dimension in dimensions)
        {
            var (endLeast, endMost) = RangeOf(_conditions.Compile(dimension.End), -1);
            var (least, most) = (Math.Max(0, endLeast - dimension.Start.Fixed + 1), Math.Max(0, endMost - dimension.Start.Fixed + 1));
            if (dimension.End.Parameter is null && endMost < dimension.Start.Fixed)
                _context.Error(entry.Line, "ArrayParameterRefEntry", $"'{entry.Target.Text}' ends at index {endMost}, before its start {dimension.Start.Fixed}.");
            isFixed &= dimension.End.Parameter is null;
            most = Math.Min(most, Layout.Longest);
            extents.Add(most);
            countLeast = Math.Min(Layout.Longest, countLeast * least);
            countMost = Math.Min(Layout.Longest, countMost * most);
        }
        if (isFixed && countMost * number.Bits > Layout.Longest)
        {
            _context.Error(entry.Line, "ArrayParameterRefEntry", $"'{entry.Target.Text}' has {countMost} elements of {number.Bits} bits: longer than any packet.");
            return;
        }
        if (!isFixed && dimensions.Count > 1 && !isSamples)
        {
            _context.Error(entry.Line, "ArrayParameterRefEntry", $"'{entry.Target.Text}' has several dimensions of changing size; supported with one dimension.");
            return;
        }
        var plan = isSamples
            ? MakeSamples(parameter, element, dimensions, countMost, isFixed)
            : MakeElements(parameter, element, dimensions, extents, (int)(isFixed ? countMost : Math.Min(countMost, MostDynamicElements)), filled);
        instruction.Op = isSamples ? Op.Samples : Op.Array;
        (instruction.Bits, instruction.Format, instruction.Little) = (number.Bits, number.Format, number.LittleEndian);
        instruction.Array = Tables.Arrays.Count;
        Tables.Arrays.Add(plan);
        Tables.Instructions.Add(instruction);
        layout.Take(countLeast * number.Bits, Math.Min(Layout.Longest, countMost * number.Bits));
    }

    private ArrayPlan MakeSamples(ParameterSpec parameter, TypeSpec element, IReadOnlyList<DimensionSpec> dimensions, long most, bool isFixed)
    {
        var slot = _slots.SlotOf(parameter.Path, _slots.NameOf(parameter), parameter.Description, element);
        Tables.SampleSlot = slot;
        if (isFixed) Tables.FixedSamples = (int)most;
        return new(slot, 0, slot, [.. dimensions.Select(d => d.Start.Fixed)], [.. dimensions.Select(d => AddSize(d.End))], parameter.Name);
    }

    private ArrayPlan MakeElements(ParameterSpec parameter, TypeSpec element, IReadOnlyList<DimensionSpec> dimensions, List<long> extents, int count, List<int> filled)
    {
        var first = -1;
        for (var i = 0; i < count; i++)
        {
            // Row-major: the last index runs fastest.
            var index = "";
            var rest = (long)i;
            for (var d = dimensions.Count - 1; d >= 0; d--)
            {
                index = $"[{dimensions[d].Start.Fixed + (d == 0 ? rest : rest % extents[d])}]" + index;
                rest /= Math.Max(1, extents[d]);
            }
            var slot = _slots.SlotOf(parameter.Path + index, _slots.NameOf(parameter) + index, parameter.Description, element);
            if (first < 0) first = slot;
            // A second use with more elements than the first would scatter the slots.
            if (slot != first + i)
            {
                _context.Error(parameter.Line, "Parameter", $"'{parameter.Name}' is used with different dimensions in different containers; one is supported.");
                break;
            }
            Tables.Slots[slot].Placed = true;
            filled.Add(slot);
        }
        return new(first, count, first, [.. dimensions.Select(d => d.Start.Fixed)], [.. dimensions.Select(d => AddSize(d.End))], parameter.Name);
    }

    private void AddContainer(EntrySpec entry, Instruction instruction, ref Layout layout, List<int> filled, List<ContainerSpec> within)
    {
        if (_slots.FindContainer(entry.Target) is not { } target) return;
        if (within.Contains(target) || within.Count > DeepestNesting)
        {
            _context.Error(entry.Line, "ContainerRefEntry", within.Contains(target) ? $"'{entry.Target.Text}' includes itself." : $"more than {DeepestNesting} containers within each other.");
            return;
        }
        if (target.Criteria.Count > 0)
            _context.Error(entry.Line, "ContainerRefEntry", $"'{entry.Target.Text}' has restriction criteria; including such a container is not supported, use <IncludeCondition>.");
        instruction.Op = Op.Begin;
        var begin = Tables.Instructions.Count;
        Tables.Instructions.Add(instruction);
        var (startLeast, startMost) = (layout.StartLeast, layout.StartMost);
        (layout.StartLeast, layout.StartMost) = (layout.CursorLeast, layout.CursorMost);
        // What the included container is built on comes first.
        var chain = new List<ContainerSpec>();
        for (var c = target; c is not null; c = _baseOf[c]) chain.Insert(0, c);
        foreach (var part in chain) AddEntries(part, ref layout, filled, [.. within, target]);
        (layout.StartLeast, layout.StartMost) = (startLeast, startMost);
        Tables.Instructions.Add(new Instruction { Op = Op.End, Slot = -1, Condition = -1, Size = -1, Location = -1, Array = -1 });
        Tables.Instructions[begin] = instruction with { Jump = Tables.Instructions.Count };
    }

    // Contexts come last: every parameter has its slot by then.
    private void CompileContexts()
    {
        foreach (var slot in Tables.Slots.ToArray())
            if (slot.Type.Number is { Contexts.Count: > 0 } number)
                slot.Contexts = [.. number.Contexts.Select(c => new CompiledContext(_conditions.Compile(c.Match), c.Calibrator))];
    }

    private int AddSize(SizeSpec size)
    {
        Tables.Sizes.Add(_conditions.Compile(size));
        return Tables.Sizes.Count - 1;
    }

    private void Place(int index, in Layout layout)
    {
        var slot = Tables.Slots[index];
        slot.StaticBit = !slot.Placed || slot.StaticBit == layout.Fixed ? layout.Fixed : -1;
        slot.Placed = true;
    }

    // Bounds of a size in bits (or of a count), never beyond a packet's length.
    private (long Least, long Most) RangeOf(in DynamicSize size, long floor)
    {
        if (size.Slot < 0) return (Math.Clamp(size.Fixed, floor, Layout.Longest), Math.Clamp(size.Fixed, floor, Layout.Longest));
        var slot = Tables.Slots[size.Slot];
        if (slot.Format != NumberFormat.Unsigned || slot.Bits > 32 || slot.Calibrator is not null || slot.Type.Number is { Contexts.Count: > 0 }) return (floor, Layout.Longest);
        var a = size.Intercept;
        var b = size.Intercept + size.Slope * ((1L << slot.Bits) - 1);
        return ((long)Math.Clamp(Math.Min(a, b), floor, Layout.Longest), (long)Math.Clamp(Math.Max(a, b), floor, Layout.Longest));
    }
}
