using System.Text.Json.Serialization;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Web.Shared.Plots;

/// <summary>Small heat maps on like axes, in rows and columns, so that many can be compared at a glance. Their traces give the panel they stand in; x values of a trace are evenly spaced.</summary>
/// <param name="Columns">Titles of the columns.</param>
/// <param name="Rows">Rows, top to bottom.</param>
/// <param name="RowHeight">Height of a panel, px.</param>
public sealed record PlotPanels(IReadOnlyList<string> Columns, IReadOnlyList<PlotPanelRow> Rows, int RowHeight)
{
    /// <summary>Titles of single panels, where columns do not name them; null = the columns' titles stand above the first row.</summary>
    public IReadOnlyList<string>? Titles { get; init; }

    /// <summary>Words in the key for cells of quality 1, which are dotted. Default "doubtful".</summary>
    public string DottedText { get; init; } = "doubtful";
}

/// <summary>One row of panels.</summary>
/// <param name="Label">What it shows, such as an orbit's number.</param>
/// <param name="Detail">A few more words below it; null = none.</param>
/// <param name="Href">Address that the label opens; null = none.</param>
/// <param name="Bands">Stretches of x: the satellite's shadow is marked at the panels' upper edge, night where it looks at their lower edge and by a line at either end.</param>
public sealed record PlotPanelRow(string Label, string? Detail, string? Href, IReadOnlyList<PlotBand> Bands)
{
    /// <summary>Moments worth a line, in units of x; their labels stand in the read-out alone.</summary>
    public IReadOnlyList<PlotMarker> Markers { get; init; } = [];

    /// <summary>Mission time of the row, where x counts minutes from its start; null = x is something else. For the team's notes; not sent.</summary>
    [JsonIgnore]
    public TimeStretch? Time { get; init; }
}
