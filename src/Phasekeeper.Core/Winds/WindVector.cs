using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Winds;

/// <summary>Horizontal wind where two views saw the same air.</summary>
public sealed record WindVector
{
    /// <summary>Middle of the two looks.</summary>
    public required Instant Time { get; init; }
    /// <summary>Line id.</summary>
    public required string Line { get; init; }
    /// <summary>Exposure of the first view nearest to the point.</summary>
    public required long FirstExposure { get; init; }
    /// <summary>Exposure of the second view, whose tangent point is the place.</summary>
    public required long SecondExposure { get; init; }
    /// <summary>Detector row of the second view.</summary>
    public required int Row { get; init; }
    /// <summary>Geodetic latitude, rad.</summary>
    public required double LatitudeRad { get; init; }
    /// <summary>Longitude, rad, −π…π, east positive.</summary>
    public required double LongitudeRad { get; init; }
    /// <summary>Height over WGS 84, km.</summary>
    public required double AltitudeKm { get; init; }
    /// <summary>Time between the looks, s, never negative.</summary>
    public required double SecondsBetweenLooks { get; init; }
    /// <summary>Distance between the second view's tangent point and the first view's track of tangent points at that height, km.</summary>
    public required double SeparationKm { get; init; }
    /// <summary>Eastward wind, m/s.</summary>
    public required double EastwardMs { get; init; }
    /// <summary>Northward wind, m/s.</summary>
    public required double NorthwardMs { get; init; }
    /// <summary>1σ of the eastward wind, m/s.</summary>
    public required double EastwardSigmaMs { get; init; }
    /// <summary>1σ of the northward wind, m/s.</summary>
    public required double NorthwardSigmaMs { get; init; }
    /// <summary>Covariance of eastward and northward wind, (m/s)².</summary>
    public required double CovarianceM2S2 { get; init; }
    /// <summary>The worse of both looks' qualities.</summary>
    public required WindQuality Quality { get; init; }
    /// <summary>Reasons of both looks, each word once.</summary>
    public required IReadOnlyList<WindQualityReason> Reasons { get; init; }
}
