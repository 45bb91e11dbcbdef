using Phasekeeper.Core.Time;

namespace Phasekeeper.Web.Shared.Plots;

/// <summary>
/// A plot as the server describes it and <c>PlotView.razor.js</c> draws it: what is shown, in which units, and what it means.
/// It knows no plotting library and no colours, only roles. Sent as JSON (camelCase, missing numbers null) outside the circuit.
/// </summary>
public sealed record PlotDocument
{
    /// <summary>Title for exports and screen readers.</summary>
    public required string Title { get; init; }

    /// <summary>What the plot shows in one or two sentences with numbers: the text alternative.</summary>
    public required string Summary { get; init; }

    /// <summary>The shared horizontal axis.</summary>
    public required PlotAxis X { get; init; }

    /// <summary>Vertical axes, top to bottom; an axis with <see cref="PlotAxis.Over"/> shares another one's panel.</summary>
    public required IReadOnlyList<PlotAxis> Y { get; init; }

    /// <summary>The data. None with points: the plot is empty and <see cref="EmptyText"/> is shown.</summary>
    public required IReadOnlyList<PlotTrace> Traces { get; init; }

    /// <summary>Shaded stretches of x.</summary>
    public IReadOnlyList<PlotBand> Bands { get; init; } = [];

    /// <summary>Horizontal lines: limits and references.</summary>
    public IReadOnlyList<PlotLine> Lines { get; init; } = [];

    /// <summary>Moments worth a mark.</summary>
    public IReadOnlyList<PlotMarker> Markers { get; init; } = [];

    /// <summary>Notes of the team on stretches of its time; put in by one filter of all plot addresses, never by a plot itself.</summary>
    public IReadOnlyList<PlotNote> Notes { get; init; } = [];

    /// <summary>True for a map: land is drawn behind, and a degree is as long in both directions. X is longitude −180…180, the first vertical axis latitude.</summary>
    public bool Map { get; init; }

    /// <summary>True where bars stand on one another, each beginning where the one before ends. Default false: side by side.</summary>
    public bool Stacked { get; init; }

    /// <summary>Many small heat maps in rows and columns on like axes, drawn by <c>plot-panels.js</c>; null = one plot.</summary>
    public PlotPanels? Panels { get; init; }

    /// <summary>What to say when there is nothing to draw.</summary>
    public string EmptyText { get; init; } = "There are no data in this range.";
}

/// <summary>What an axis measures.</summary>
public enum PlotAxisKind
{
    /// <summary>UTC, in milliseconds since 1970-01-01 (see <see cref="PlotTime"/>).</summary>
    Time,
    /// <summary>A number with a unit.</summary>
    Number,
    /// <summary>A number on a logarithmic scale.</summary>
    Logarithmic,
}

/// <summary>An axis.</summary>
/// <param name="Id">Name by which traces and lines refer to it; "x" for the horizontal one.</param>
/// <param name="Title">Quantity, without unit.</param>
/// <param name="Unit">Unit as shown; null for a ratio or a count.</param>
/// <param name="Kind">Kind of scale.</param>
public sealed record PlotAxis(string Id, string Title, string? Unit, PlotAxisKind Kind = PlotAxisKind.Number)
{
    /// <summary>Lower end of the range; null = from the data.</summary>
    public double? Min { get; init; }

    /// <summary>Upper end of the range; null = from the data.</summary>
    public double? Max { get; init; }

    /// <summary>Larger values further down, as for detector rows.</summary>
    public bool Reversed { get; init; }

    /// <summary>Height of the panel relative to the others. Default 1.</summary>
    public double Share { get; init; } = 1;

    /// <summary>Id of the axis whose panel this one shares, on the right; null = a panel of its own.</summary>
    public string? Over { get; init; }

    /// <summary>Text at chosen places instead of numbers; null = numbers.</summary>
    public IReadOnlyList<PlotTick>? Ticks { get; init; }

    /// <summary>The time axis of a range; either end may be left to the data.</summary>
    public static PlotAxis UtcTime(Instant? from = null, Instant? to = null) => new("x", "Time", "UTC", PlotAxisKind.Time)
    {
        Min = from is { } start ? PlotTime.Of(start) : null,
        Max = to is { } end ? PlotTime.Of(end) : null,
    };
}

/// <summary>A labelled place on an axis.</summary>
public sealed record PlotTick(double At, string Label);

/// <summary>A shaded stretch of x.</summary>
/// <param name="From">Start, in units of the x axis.</param>
/// <param name="To">End.</param>
/// <param name="Kind">What it stands for.</param>
/// <param name="Label">Text, shown where it fits and in the table.</param>
public sealed record PlotBand(double From, double To, PlotBandKind Kind, string? Label = null);

/// <summary>What a band stands for.</summary>
public enum PlotBandKind
{
    /// <summary>The satellite is in the Earth's full shadow.</summary>
    Shadow,
    /// <summary>Night where the instrument looks: the Sun is below the horizon there.</summary>
    Night,
    /// <summary>The satellite is in partial shadow.</summary>
    Penumbra,
    /// <summary>A planned activity.</summary>
    Activity,
    /// <summary>Data are missing.</summary>
    Gap,
    /// <summary>A flag of severity warning, over its stretch.</summary>
    Warning,
    /// <summary>A flag of severity critical, over its stretch.</summary>
    Critical,
    /// <summary>A flag of severity notice, over its stretch.</summary>
    Notice,
}

/// <summary>A horizontal line.</summary>
/// <param name="Axis">Id of the vertical axis.</param>
/// <param name="Value">Where, in the axis' unit.</param>
/// <param name="Kind">What it stands for.</param>
/// <param name="Label">Text at its right end.</param>
public sealed record PlotLine(string Axis, double Value, PlotLineKind Kind, string? Label = null)
{
    /// <summary>Start in x; null = the whole width. A limit that changed is drawn as several lines.</summary>
    public double? From { get; init; }

    /// <summary>End in x; null = the whole width.</summary>
    public double? To { get; init; }
}

/// <summary>What a line stands for.</summary>
public enum PlotLineKind
{
    /// <summary>A value to compare with.</summary>
    Reference,
    /// <summary>A warning limit.</summary>
    Warning,
    /// <summary>A critical limit.</summary>
    Critical,
}

/// <summary>A moment worth a mark.</summary>
/// <param name="At">Where, in units of the x axis.</param>
/// <param name="Kind">What it stands for.</param>
/// <param name="Label">Text shown on pointing at it.</param>
/// <param name="Href">Address that a click opens; null = none.</param>
public sealed record PlotMarker(double At, PlotMarkerKind Kind, string Label, string? Href = null);

/// <summary>What a marker stands for.</summary>
public enum PlotMarkerKind
{
    /// <summary>Something happened.</summary>
    Event,
    /// <summary>Another coefficient set took effect.</summary>
    SetChange,
    /// <summary>A flag was raised.</summary>
    Flag,
    /// <summary>A change-point found in the series.</summary>
    ChangePoint,
}
