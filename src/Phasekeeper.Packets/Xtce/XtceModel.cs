namespace Phasekeeper.Packets.Xtce;

/// <summary>Sort of a parameter, as the definition declares it.</summary>
public enum ParameterKind
{
    /// <summary>Whole number.</summary>
    Integer,
    /// <summary>Real number.</summary>
    Float,
    /// <summary>Number with labels.</summary>
    Enumerated,
    /// <summary>Zero or one, with two labels.</summary>
    Boolean,
    /// <summary>Text.</summary>
    String,
    /// <summary>Bytes without meaning here.</summary>
    Binary,
    /// <summary>A moment; as a number, Unix seconds (UTC).</summary>
    AbsoluteTime,
    /// <summary>Elements of one type.</summary>
    Array,
}

/// <summary>How a number is written in bits.</summary>
internal enum NumberFormat : byte
{
    Unsigned,
    TwosComplement,
    SignMagnitude,
    OnesComplement,
    Ieee754,
    Milstd1750A,
}

/// <summary>A name as written in the file, with the place that it is resolved from.</summary>
internal sealed record NameRef(string Text, string SystemPath, int Line, string Element);

/// <summary>A size or count: a number, or slope·parameter + intercept.</summary>
internal sealed record SizeSpec(long Fixed, NameRef? Parameter, double Slope, double Intercept, bool UseCalibrated);

/// <summary>One comparison of a parameter with a value, as written.</summary>
internal sealed record ComparisonSpec(NameRef Parameter, string Operator, string Value, bool UseCalibrated, int Line);

internal sealed record ContextCalibratorSpec(IReadOnlyList<ComparisonSpec> Match, Calibrator Calibrator);

internal sealed record NumberEncodingSpec(NumberFormat Format, int Bits, bool LittleEndian, Calibrator? Calibrator, IReadOnlyList<ContextCalibratorSpec> Contexts);

internal sealed record BytesEncodingSpec(SizeSpec? Size, int Terminator, System.Text.Encoding? Text);

internal sealed record DimensionSpec(SizeSpec Start, SizeSpec End);

internal sealed record TimeSpec(double Scale, double Offset, Core.Time.Instant Epoch, bool LeapSecondsCounted);

internal sealed record TypeSpec
{
    public required string Path { get; init; }
    public required int Line { get; init; }
    public required ParameterKind Kind { get; init; }
    public string Unit { get; init; } = "";
    public string? Description { get; init; }
    public NumberEncodingSpec? Number { get; init; }
    public BytesEncodingSpec? Bytes { get; init; }
    public EnumerationTable? Labels { get; init; }
    public AlarmRanges? Ranges { get; init; }
    public EnumerationAlarms? LabelAlarms { get; init; }
    public NameRef? ElementType { get; init; }
    public IReadOnlyList<DimensionSpec> Dimensions { get; init; } = [];
    public TimeSpec? Time { get; init; }
}

internal sealed record ParameterSpec(string Name, string Path, string? Description, NameRef Type, int Line);

internal enum EntryKind { Parameter, Container, Array }

internal sealed record EntrySpec(EntryKind Kind, NameRef Target, bool FromContainerStart, SizeSpec? Location, IReadOnlyList<ComparisonSpec> Include, IReadOnlyList<DimensionSpec>? Dimensions, int Line);

internal sealed record ContainerSpec
{
    public required string Name { get; init; }
    public required string Path { get; init; }
    public required int Line { get; init; }
    public required bool IsAbstract { get; init; }
    public required string? Description { get; init; }
    public required IReadOnlyList<EntrySpec> Entries { get; init; }
    public required NameRef? Base { get; init; }
    public required IReadOnlyList<ComparisonSpec> Criteria { get; init; }
}

/// <summary>Everything that a definition declares, in the order of the file.</summary>
internal sealed class XtceModel
{
    public List<TypeSpec> Types { get; } = [];
    public List<ParameterSpec> Parameters { get; } = [];
    public List<ContainerSpec> Containers { get; } = [];
}
