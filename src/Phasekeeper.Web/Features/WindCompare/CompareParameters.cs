using System.Globalization;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.WindMeans;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Web.Api;

namespace Phasekeeper.Web.Features.WindCompare;

/// <summary>Query parameters of the comparison's plots, as the page's address has them; use with [AsParameters].</summary>
public sealed record CompareParameters
{
    /// <summary>UTC day, yyyy-MM-dd.</summary>
    [FromQuery(Name = "date")]
    public string? Date { get; init; }

    /// <summary>One orbit alone.</summary>
    [FromQuery(Name = "orbit")]
    public int? Orbit { get; init; }

    /// <summary>Line id.</summary>
    [FromQuery(Name = "line")]
    public string? Line { get; init; }

    /// <summary>eastward or northward.</summary>
    [FromQuery(Name = "component")]
    public string? Component { get; init; }

    /// <summary>Height, km.</summary>
    [FromQuery(Name = "altitude")]
    public double? Altitude { get; init; }

    /// <summary>Word of the base.</summary>
    [FromQuery(Name = "base")]
    public string? Base { get; init; }

    /// <summary>"yes" counts doubtful winds.</summary>
    [FromQuery(Name = "doubtful")]
    public string? Doubtful { get; init; }

    /// <summary>Checks them.</summary>
    public CompareChoice Read(MissionState mission)
    {
        ArgumentNullException.ThrowIfNull(mission);
        if (mission.Instrument is not { } instrument) throw ApiProblems.BadRequest("This mission has no instrument, so it has no winds.");
        if (!DateOnly.TryParseExact(Date, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date))
            throw ApiProblems.BadRequest($"Query parameter 'date': found '{Date}'; expected a UTC day such as 2031-05-09.");
        var line = instrument.Lines.FirstOrDefault(l => string.IsNullOrEmpty(Line) || l.Id == Line)?.Id ?? throw ApiProblems.BadRequest(ApiTexts.UnknownWord("line", Line!, instrument.Lines.Select(l => l.Id)));
        var altitude = WindBinGrid.AltitudeOf(Altitude ?? Winds.WindQueries.DefaultAltitudeKm);
        if (altitude < 0)
            throw ApiProblems.BadRequest(string.Create(CultureInfo.InvariantCulture, $"Query parameter 'altitude': found {Altitude}; expected {WindBinGrid.AltitudeEdgesKm[0]} to {WindBinGrid.AltitudeEdgesKm[^1]} km."));
        return new(date, Orbit, line, Component == "northward" ? WindComponent.Northward : WindComponent.Eastward, altitude, CompareBase.Of(Base), Doubtful == "yes");
    }
}
