namespace Phasekeeper.Pipeline.Exports.NetCdf;

/// <summary>A named dimension of fixed length.</summary>
/// <param name="Name">Name: a letter, then letters, digits and underscores.</param>
/// <param name="Length">Length; 0 is written as an empty dimension only by formats that have one, so it must be at least 1 here.</param>
public sealed record NetCdfDimension(string Name, int Length);

/// <summary>An attribute: text, or numbers of one type.</summary>
public sealed record NetCdfAttribute
{
    private NetCdfAttribute(string name, string? text, NetCdfValues? numbers) => (Name, Text, Numbers) = (name, text, numbers);

    /// <summary>A text.</summary>
    public NetCdfAttribute(string name, string text) : this(name, text, null) { }

    /// <summary>Numbers.</summary>
    public NetCdfAttribute(string name, NetCdfValues numbers) : this(name, null, numbers) { }

    /// <summary>Name.</summary>
    public string Name { get; }
    /// <summary>Text (UTF-8 in the file); null for numbers.</summary>
    public string? Text { get; }
    /// <summary>Numbers; null for text.</summary>
    public NetCdfValues? Numbers { get; }
}

/// <summary>A variable with its data, row-major over its dimensions (the last one runs fastest).</summary>
/// <param name="Name">Name.</param>
/// <param name="Dimensions">Dimensions by name; none = a scalar.</param>
/// <param name="Values">As many values as the dimensions' product.</param>
/// <param name="Attributes">Attributes in order.</param>
public sealed record NetCdfVariable(string Name, IReadOnlyList<string> Dimensions, NetCdfValues Values, IReadOnlyList<NetCdfAttribute> Attributes);

/// <summary>All of a file.</summary>
/// <param name="Dimensions">Dimensions.</param>
/// <param name="Attributes">Global attributes.</param>
/// <param name="Variables">Variables.</param>
public sealed record NetCdfFile(IReadOnlyList<NetCdfDimension> Dimensions, IReadOnlyList<NetCdfAttribute> Attributes, IReadOnlyList<NetCdfVariable> Variables);
