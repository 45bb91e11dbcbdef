using System.ComponentModel;
using System.Globalization;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;

namespace Phasekeeper.Web.Features.Vouch;

/// <summary>Which pairs are looked at; use with [AsParameters]. Text, so that a mistake is answered with what was found and expected.</summary>
public sealed record ComparisonQuery
{
    /// <summary>Start.</summary>
    [FromQuery(Name = "from"), Description("First start of an orbit, inclusive; ISO 8601 UTC. Default: the beginning.")]
    public string? From { get; init; }

    /// <summary>End.</summary>
    [FromQuery(Name = "to"), Description("Last start of an orbit, exclusive; ISO 8601 UTC. Default: the end.")]
    public string? To { get; init; }

    /// <summary>Line.</summary>
    [FromQuery(Name = "line"), Description("A line of the instrument. Default: all.")]
    public string? Line { get; init; }

    /// <summary>What is compared.</summary>
    [FromQuery(Name = "wind"), Description("eastward, northward, or los-VIEW for the line of sight of a view. Default: all.")]
    public string? Wind { get; init; }

    /// <summary>Largest distance.</summary>
    [FromQuery(Name = "distanceKm"), Description("Largest distance, km, up to 1000. Default: 500.")]
    public string? DistanceKm { get; init; }

    /// <summary>Largest time between.</summary>
    [FromQuery(Name = "minutes"), Description("Largest time between both winds, minutes, up to 90. Default: 30.")]
    public string? Minutes { get; init; }

    /// <summary>Largest distance in altitude.</summary>
    [FromQuery(Name = "altitudeKm"), Description("Largest distance in altitude to the nearest independent wind, km, up to 10. Default: 3.")]
    public string? AltitudeKm { get; init; }

    /// <summary>Checks the parameters; throws <see cref="ApiProblemException"/> (400).</summary>
    public ComparisonChoice Read()
    {
        var (from, to) = (TimeParameter.Read("from", From) ?? Instant.MinValue, TimeParameter.Read("to", To) ?? Instant.MaxValue);
        if (to < from) throw ApiProblems.BadRequest(ApiTexts.RangeReversed(From ?? "", To ?? ""));
        var limits = new ComparisonLimits
        {
            DistanceKm = Number("distanceKm", DistanceKm, ComparisonLimits.Default.DistanceKm, ComparisonLimits.Widest.DistanceKm),
            Minutes = Number("minutes", Minutes, ComparisonLimits.Default.Minutes, ComparisonLimits.Widest.Minutes),
            AltitudeKm = Number("altitudeKm", AltitudeKm, ComparisonLimits.Default.AltitudeKm, ComparisonLimits.Widest.AltitudeKm),
        };
        return new(from, to, string.IsNullOrEmpty(Line) ? null : Line, ComparedSeries.Read(Wind), limits);
    }

    private static double Number(string name, string? text, double otherwise, double most)
    {
        if (string.IsNullOrEmpty(text)) return otherwise;
        return double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out var value) && value > 0 && value <= most ? value
            : throw ApiProblems.BadRequest(string.Create(CultureInfo.InvariantCulture, $"Query parameter '{name}': found '{text}'; expected a number above 0 and up to {most}."));
    }
}

/// <summary>What is compared: a direction, or the line of sight of a view.</summary>
public readonly record struct ComparedSeries(ComparedWind Compared, string View)
{
    private const string LosPrefix = "los-";

    /// <summary>In an address: eastward, northward, los-F.</summary>
    public string Id => Compared == ComparedWind.LineOfSight ? LosPrefix + View : ApiWords.Of(Compared);

    /// <summary>In words.</summary>
    public string Words => Compared switch
    {
        ComparedWind.LineOfSight => $"line of sight, view {View}",
        ComparedWind.Eastward => "eastward wind",
        _ => "northward wind",
    };

    /// <summary>In a legend, where the page says that winds are meant.</summary>
    public string ShortWords => Compared switch
    {
        ComparedWind.LineOfSight => $"view {View}",
        ComparedWind.Eastward => "eastward",
        _ => "northward",
    };

    /// <summary>Reads what <see cref="Id"/> wrote; null for none. Throws <see cref="ApiProblemException"/> (400).</summary>
    public static ComparedSeries? Read(string? text) => text switch
    {
        null or "" => null,
        "eastward" => new(ComparedWind.Eastward, ""),
        "northward" => new(ComparedWind.Northward, ""),
        _ when text.StartsWith(LosPrefix, StringComparison.Ordinal) && text.Length > LosPrefix.Length => new(ComparedWind.LineOfSight, text[LosPrefix.Length..]),
        _ => throw ApiProblems.BadRequest($"Query parameter 'wind': found '{text}'; expected eastward, northward, or los- and a view, such as los-F."),
    };
}

/// <summary>A checked <see cref="ComparisonQuery"/>.</summary>
public sealed record ComparisonChoice(Instant From, Instant To, string? Line, ComparedSeries? Wind, ComparisonLimits Limits)
{
    /// <summary>True for a pair that is asked for.</summary>
    public bool Holds(in ComparisonPair p) => Limits.Holds(p) && (Line is null || p.Line == Line) && (Wind is not { } w || (p.Compared == w.Compared && p.View == w.View));
}
