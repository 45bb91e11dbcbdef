using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Packets.Decoding;

/// <summary>What an instruction does.</summary>
internal enum Op : byte
{
    Number,
    Bytes,
    Array,
    Samples,
    Begin,
    End,
}

/// <summary>One step through a packet. Indexes point into the plan's tables; −1 = none.</summary>
internal struct Instruction
{
    public Op Op;
    public NumberFormat Format;
    public bool Little;
    public bool FromStart;
    public int Bits;
    public int Slot;
    public int Condition;
    public int Size;
    public int Location;
    public int Jump;
    public int Array;
}

/// <summary>A size, count or location: fixed, or slope·parameter + intercept.</summary>
internal readonly record struct DynamicSize(long Fixed, int Slot, double Slope, double Intercept, bool Calibrated);

internal enum CompareMode : byte { Integer, Number, Label, Text }

internal enum CompareOp : byte { Equal, NotEqual, Less, LessOrEqual, Greater, GreaterOrEqual }

/// <summary>One comparison; several together all have to hold.</summary>
internal readonly record struct CompiledComparison(int Slot, CompareOp Op, CompareMode Mode, bool Calibrated, long Integer, double Number, int Label, string Text);

internal sealed record CompiledContext(int Condition, Calibrator Calibrator);

/// <summary>An array: its elements' encoding is that of its first slot.</summary>
internal sealed record ArrayPlan(int FirstSlot, int SlotCount, int ElementSlot, long[] Starts, int[] Ends, string Name);

/// <summary>A container in the tree of inheritance.</summary>
internal sealed class Node
{
    public required ContainerSpec Container { get; init; }
    public int First { get; set; }
    public int Count { get; set; }
    public int Condition { get; set; } = -1;
    public List<int> Children { get; } = [];
    public int ContainerIndex { get; set; } = -1;
    public bool ChecksumIncluded { get; set; }
}

/// <summary>A place for one value of a packet.</summary>
internal sealed class Slot
{
    public required string Name { get; init; }
    public required string Path { get; init; }
    public required string? Description { get; init; }
    public required TypeSpec Type { get; init; }
    public NumberFormat Format => Type.Number?.Format ?? NumberFormat.Unsigned;
    public int Bits => Type.Number?.Bits ?? 0;
    public bool IsReal => Format is NumberFormat.Ieee754 or NumberFormat.Milstd1750A;
    public Calibrator? Calibrator { get; set; }
    public CompiledContext[] Contexts { get; set; } = [];
    public bool InHeader { get; set; }
    public bool IsChecksum { get; set; }
    // First bit within the packet when it is always the same; −1 otherwise.
    public int StaticBit { get; set; } = -1;
    public bool Placed { get; set; }
}
