using System.ComponentModel;
using System.Globalization;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Time;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;

namespace Phasekeeper.Web.Shared.Plots;

/// <summary>What the plot component asks of every plot-data endpoint; use with [AsParameters].</summary>
public sealed record PlotQuery
{
    /// <summary>Start of the visible range.</summary>
    [FromQuery(Name = "from"), Description("Start of the visible range; ISO 8601 UTC.")]
    public string? From { get; init; }

    /// <summary>End of the visible range.</summary>
    [FromQuery(Name = "to"), Description("End of the visible range; ISO 8601 UTC.")]
    public string? To { get; init; }

    /// <summary>Width of the plot in pixels.</summary>
    [FromQuery(Name = "columns"), Description("Width of the plot in pixels, 50 to 4000: more points than that are reduced to min, mean and max a column.")]
    public string? Columns { get; init; }

    /// <summary>Checks the parameters; absent ends are null, absent columns are 1000.</summary>
    public PlotRange Read()
    {
        var from = TimeParameter.Read("from", From);
        var to = TimeParameter.Read("to", To);
        if (from is { } start && to is { } end && end < start) throw ApiProblems.BadRequest(ApiTexts.RangeReversed(From!, To!));
        var columns = 1000;
        if (!string.IsNullOrEmpty(Columns)
            && (!int.TryParse(Columns, NumberStyles.None, CultureInfo.InvariantCulture, out columns) || columns is < 50 or > 4000))
            throw ApiProblems.BadRequest($"Query parameter 'columns': found '{Columns}'; expected a whole number from 50 to 4000.");
        return new PlotRange(from, to, columns);
    }
}

/// <summary>A checked <see cref="PlotQuery"/>.</summary>
public readonly record struct PlotRange(Instant? From, Instant? To, int Columns);
