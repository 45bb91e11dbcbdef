namespace Phasekeeper.Web.Shared.Plots;

/// <summary>One series of a plot. All vectors have the length of <see cref="X"/>, NaN where a number is missing.</summary>
public sealed record PlotTrace
{
    /// <summary>Name in the legend, the read-out, the table and the CSV.</summary>
    public required string Name { get; init; }

    /// <summary>How it is drawn.</summary>
    public required PlotTraceKind Kind { get; init; }

    /// <summary>Id of the vertical axis.</summary>
    public required string Axis { get; init; }

    /// <summary>Places on the x axis, in its unit.</summary>
    public required IReadOnlyList<double> X { get; init; }

    /// <summary>Values in the vertical axis' unit; for a heat map the places of its rows.</summary>
    public required IReadOnlyList<double> Y { get; init; }

    /// <summary>Role that decides colour and dash.</summary>
    public PlotRole Role { get; init; } = PlotRole.Series;

    /// <summary>False keeps it out of the legend, where another trace of the same colour stands for it. Default true.</summary>
    public bool InLegend { get; init; } = true;

    /// <summary>Which of the series colours, 1 to 8; counts only for <see cref="PlotRole.Series"/>. 0 = by position.</summary>
    public int Colour { get; init; }

    /// <summary>Points: drawn hollow, where two kinds of points share a colour. Default false.</summary>
    public bool Open { get; init; }

    /// <summary>Least value behind each point, where points stand for many; null = none.</summary>
    public IReadOnlyList<double>? Low { get; init; }

    /// <summary>Largest value behind each point.</summary>
    public IReadOnlyList<double>? High { get; init; }

    /// <summary>1σ of each point, same unit; null = none.</summary>
    public IReadOnlyList<double>? Sigma { get; init; }

    /// <summary>True where <see cref="Sigma"/> is that of <see cref="X"/>, as in a profile over height. Default false.</summary>
    public bool SigmaOfX { get; init; }

    /// <summary>Orbit number of each point, shown in the read-out; null = none.</summary>
    public IReadOnlyList<int>? Orbit { get; init; }

    /// <summary>Further words for each point's read-out; null = none.</summary>
    public IReadOnlyList<string>? Note { get; init; }

    /// <summary>Heat map: values [row][column]; rows at <see cref="Y"/>, columns at <see cref="X"/>.</summary>
    public IReadOnlyList<IReadOnlyList<double>>? Z { get; init; }

    /// <summary>Heat map of a panel: the panel's number, row · columns + column.</summary>
    public int Panel { get; init; }

    /// <summary>Heat map of a panel: quality of its cells, one text a row with one sign a column: 0 good, 1 doubtful, 2 bad (its value is not drawn); null = all good.</summary>
    public IReadOnlyList<string>? Quality { get; init; }

    /// <summary>What a click on this trace reports instead of its name; null = the name.</summary>
    public string? Key { get; init; }

    /// <summary>Heat map or coloured points: name and unit of the coloured quantity.</summary>
    public PlotColourScale? Scale { get; init; }

    /// <summary>Coloured points: the value that decides each point's colour.</summary>
    public IReadOnlyList<double>? C { get; init; }
}

/// <summary>How a trace is drawn.</summary>
public enum PlotTraceKind
{
    /// <summary>A line, broken where a number is missing.</summary>
    Line,
    /// <summary>A line that holds its value until the next point.</summary>
    Steps,
    /// <summary>Points, with 1σ bars where they are given.</summary>
    Points,
    /// <summary>Bars from zero.</summary>
    Bars,
    /// <summary>Colours on a grid.</summary>
    Heat,
}

/// <summary>What a trace stands for.</summary>
public enum PlotRole
{
    /// <summary>One of several series of equal rank.</summary>
    Series,
    /// <summary>A model, an expectation or a fit: dashed.</summary>
    Model,
    /// <summary>Measured, beside a model.</summary>
    Measured,
    /// <summary>Background for orientation, such as a ground track.</summary>
    Context,
    /// <summary>Values that are not final.</summary>
    Provisional,
    /// <summary>Values outside a warning limit.</summary>
    Warning,
    /// <summary>Values outside a critical limit.</summary>
    Critical,
}

/// <summary>Colours of a heat map or of points.</summary>
/// <param name="Title">Quantity.</param>
/// <param name="Unit">Unit; null for a ratio or a count.</param>
/// <param name="Diverging">True where zero is the middle and both signs matter.</param>
/// <param name="Min">Value at the lower end; null = from the data.</param>
/// <param name="Max">Value at the upper end; null = from the data.</param>
/// <param name="Ticks">Words for single values, where values are kinds; null = numbers.</param>
public sealed record PlotColourScale(string Title, string? Unit, bool Diverging = false, double? Min = null, double? Max = null, IReadOnlyList<PlotTick>? Ticks = null);
