using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Storage;

/// <summary>One detector row of a wind profile as it was before a decision.</summary>
/// <param name="WindMs">Wind along the line of sight, m/s.</param>
/// <param name="SigmaMs">1σ, m/s.</param>
/// <param name="LatitudeDeg">Latitude of the tangent point, deg.</param>
/// <param name="AltitudeKm">Its altitude, km.</param>
/// <param name="Quality">Quality.</param>
public readonly record struct FormerWindRow(double WindMs, double SigmaMs, double LatitudeDeg, double AltitudeKm, WindQuality Quality);

/// <summary>A wind profile as it was before a decision: what comparing needs.</summary>
public sealed record FormerWind
{
    /// <summary>Orbit.</summary>
    public required int Orbit { get; init; }
    /// <summary>Middle of the exposure.</summary>
    public required Instant Time { get; init; }
    /// <summary>Exposure number.</summary>
    public required long Exposure { get; init; }
    /// <summary>View id.</summary>
    public required string View { get; init; }
    /// <summary>Line id.</summary>
    public required string Line { get; init; }
    /// <summary>One a detector row.</summary>
    public required IReadOnlyList<FormerWindRow> Rows { get; init; }
    /// <summary>The coefficient set that it was made with.</summary>
    public long? CoefficientSet { get; init; }
    /// <summary>The version of the program that made it.</summary>
    public required string SoftwareVersion { get; init; }

    /// <summary>The copy of a stored wind.</summary>
    public static FormerWind Of(StoredLosWind wind)
    {
        ArgumentNullException.ThrowIfNull(wind);
        return new()
        {
            Orbit = wind.Orbit,
            Time = wind.Profile.Time,
            Exposure = wind.Profile.Exposure,
            View = wind.Profile.View,
            Line = wind.Profile.Line,
            Rows = [.. wind.Profile.Rows.Select(Of)],
            CoefficientSet = wind.CoefficientSet,
            SoftwareVersion = wind.SoftwareVersion,
        };
    }

    /// <summary>The copy of a row.</summary>
    public static FormerWindRow Of(LosWind row) => new(row.WindMs, row.SigmaMs, row.LatitudeRad * (180 / Math.PI), row.AltitudeKm, row.Quality);
}
