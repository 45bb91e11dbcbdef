using System.ComponentModel;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Lists;
using static Phasekeeper.Web.Features.Winds.WindNumbers;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>Wind of one detector row along its line of sight (contract.md section 4). Numbers are null where there is no wind or no phase.</summary>
/// <param name="Time">Middle of the exposure.</param>
/// <param name="Exposure">Exposure number.</param>
/// <param name="View">View.</param>
/// <param name="Line">Line.</param>
/// <param name="Row">Detector row, from 0.</param>
/// <param name="Orbit">Orbit.</param>
/// <param name="LatitudeDeg">Geodetic latitude of the tangent point, deg.</param>
/// <param name="LongitudeDeg">Longitude of the tangent point, deg, −180 to 180, east positive.</param>
/// <param name="AltitudeKm">Height of the tangent point over WGS 84, km.</param>
/// <param name="AzimuthDeg">Direction of the look at the tangent point, clockwise from north, deg.</param>
/// <param name="WindMs">Horizontal wind at the tangent point along the look, m/s, positive away from the instrument.</param>
/// <param name="SigmaMs">1σ against the wind at the point, smoothing included, m/s.</param>
/// <param name="ApparentMs">Wind before the limb inversion, all corrections made, m/s.</param>
/// <param name="ApparentSigmaMs">1σ, m/s.</param>
/// <param name="VerticalResolutionKm">Height that one degree of freedom of the profile spans, km.</param>
/// <param name="Quality">good | doubtful | bad.</param>
/// <param name="QualityReasons">Why it is not good.</param>
/// <param name="CoefficientSet">Id of the coefficient set that made it.</param>
/// <param name="SoftwareVersion">Version of the program that made it.</param>
/// <param name="Held">True when people hold the winds of its orbit: not to be used. The numbers are as they were made.</param>
public readonly record struct LosWindItem(
    Instant Time, long Exposure, string View, string Line, int Row, int Orbit, double LatitudeDeg, double LongitudeDeg, double AltitudeKm, double AzimuthDeg, double WindMs, double SigmaMs,
    double ApparentMs, double ApparentSigmaMs, double VerticalResolutionKm, WindQuality Quality, IReadOnlyList<string> QualityReasons, long? CoefficientSet, string SoftwareVersion, bool Held)
{
    /// <summary>The item of a stored row.</summary>
    public static LosWindItem Of(StoredLosWindRow row, IReadOnlyDictionary<int, HoldKind> held)
    {
        var (profile, wind) = (row.Stored.Profile, row.Wind);
        return new LosWindItem(
            profile.Time, profile.Exposure, profile.View, profile.Line, wind.Row, row.Stored.Orbit, Degrees(wind.LatitudeRad), Degrees(wind.LongitudeRad), Rounded(wind.AltitudeKm),
            Degrees(wind.AzimuthRad), Rounded(wind.WindMs), Rounded(wind.SigmaMs), Rounded(wind.ApparentMs), Rounded(wind.ApparentSigmaMs), Rounded(wind.VerticalResolutionKm), wind.Quality,
            [.. wind.Reasons.Select(r => r.Word)], row.Stored.CoefficientSet, row.Stored.SoftwareVersion, held.ContainsKey(row.Stored.Orbit));
    }
}

/// <summary>Horizontal wind where both views saw the same air (contract.md section 4).</summary>
/// <param name="Time">Middle of the two looks.</param>
/// <param name="Line">Line.</param>
/// <param name="Orbit">Orbit of the earlier look.</param>
/// <param name="LatitudeDeg">Geodetic latitude, deg.</param>
/// <param name="LongitudeDeg">Longitude, deg, −180 to 180, east positive.</param>
/// <param name="AltitudeKm">Height over WGS 84, km.</param>
/// <param name="SecondsBetweenLooks">Time between the looks, s.</param>
/// <param name="EastwardMs">Eastward wind, m/s.</param>
/// <param name="NorthwardMs">Northward wind, m/s.</param>
/// <param name="EastwardSigmaMs">1σ of the eastward wind, m/s.</param>
/// <param name="NorthwardSigmaMs">1σ of the northward wind, m/s.</param>
/// <param name="CovarianceM2S2">Covariance of eastward and northward wind, (m/s)².</param>
/// <param name="Quality">good | doubtful | bad: the worse of both looks.</param>
/// <param name="QualityReasons">Why it is not good: of both looks.</param>
/// <param name="CoefficientSet">Id of the coefficient set that made it.</param>
/// <param name="SoftwareVersion">Version of the program that made it.</param>
/// <param name="Held">True when people hold the winds of its orbit: not to be used. The numbers are as they were made.</param>
public readonly record struct WindVectorItem(
    Instant Time, string Line, int Orbit, double LatitudeDeg, double LongitudeDeg, double AltitudeKm, double SecondsBetweenLooks, double EastwardMs, double NorthwardMs, double EastwardSigmaMs,
    double NorthwardSigmaMs, double CovarianceM2S2, WindQuality Quality, IReadOnlyList<string> QualityReasons, long? CoefficientSet, string SoftwareVersion, bool Held)
{
    /// <summary>The item of a stored vector.</summary>
    public static WindVectorItem Of(StoredWindVector stored, IReadOnlyDictionary<int, HoldKind> held)
    {
        var v = stored.Vector;
        return new WindVectorItem(
            v.Time, v.Line, stored.Stored.Orbit, Degrees(v.LatitudeRad), Degrees(v.LongitudeRad), Rounded(v.AltitudeKm), Rounded(v.SecondsBetweenLooks), Rounded(v.EastwardMs), Rounded(v.NorthwardMs), Rounded(v.EastwardSigmaMs),
            Rounded(v.NorthwardSigmaMs), Rounded(v.CovarianceM2S2), v.Quality, [.. v.Reasons.Select(r => r.Word)], stored.Stored.CoefficientSet, stored.Stored.SoftwareVersion, held.ContainsKey(stored.Stored.Orbit));
    }
}

/// <summary>Which winds are asked for.</summary>
public sealed record LosWindQuery
{
    /// <summary>View.</summary>
    [FromQuery(Name = "view"), Description("A view of the instrument. Default: all.")]
    public string? View { get; init; }

    /// <summary>Line.</summary>
    [FromQuery(Name = "line"), Description("A line of the instrument. Default: all.")]
    public string? Line { get; init; }
}

/// <summary>Which vectors are asked for.</summary>
public sealed record WindVectorQuery
{
    /// <summary>Line.</summary>
    [FromQuery(Name = "line"), Description("A line of the instrument. Default: all.")]
    public string? Line { get; init; }
}

/// <summary>Winds along the line of sight and wind vectors, row by row.</summary>
public static class WindsApi
{
    /// <summary>Adds the calls.</summary>
    public static void MapWinds(this IEndpointRouteBuilder api)
    {
        var winds = api.MapGroup("/winds").WithTags("Winds");
        winds.MapGet("/los", ([AsParameters] ListQuery query, [AsParameters] LosWindQuery which, Stores stores, MissionFolder mission) =>
        {
            var range = query.Read();
            var held = stores.Holds.Held();
            return stores.Winds.ListRows(range.From, range.To, range.Limit, range.Next, MissionParameter.View(mission, which.View), MissionParameter.Line(mission, which.Line)).Answer(r => LosWindItem.Of(r, held));
        }).WithName("getLosWinds").WithSummary("Winds along the line of sight: one item a detector row of a scene exposure, in order of time.")
            .WithDescription("held: true where people hold the orbit or its day; such winds are not to be used. The second-order Doppler term (0.1 m/s) is not included. Words of qualityReasons: " + Words + ".");
        winds.MapGet("/vector", ([AsParameters] ListQuery query, [AsParameters] WindVectorQuery which, Stores stores, MissionFolder mission) =>
        {
            var range = query.Read();
            var held = stores.Holds.Held();
            return stores.WindVectors.ListRows(range.From, range.To, range.Limit, range.Next, MissionParameter.Line(mission, which.Line)).Answer(v => WindVectorItem.Of(v, held));
        }).WithName("getWindVectors").WithSummary("Wind vectors where both views saw the same air: one item a place, exposure by exposure in order of time.")
            .WithDescription("held: true where people hold the orbit or its day; such vectors are not to be used. The places are the tangent points of the second view of the profile. Eastward and northward winds are positive. covarianceM2S2 is the covariance of the two. Words of qualityReasons: " + Words + ".");
    }

    private static string Words => string.Join("; ", WindReasonCatalog.All.Select(r => $"{r.Word} ({r.Help.TrimEnd('.')})"));
}

/// <summary>Stored numbers as the API gives them: winds are kept in single precision, so digits beyond these would say nothing.</summary>
internal static class WindNumbers
{
    /// <summary>Degrees to a millionth (0.1 m on the ground).</summary>
    public static double Degrees(double rad) => Math.Round(rad * (180 / Math.PI), 6);

    /// <summary>m/s, km, s and (m/s)² to a ten-thousandth.</summary>
    public static double Rounded(double value) => Math.Round(value, 4);
}
