using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits.Sgp4;

/// <summary>
/// Brouwer mean elements for SGP4, as a two-line set or OMM carries them: TEME of date, epoch UTC. Units of the files (degrees,
/// revolutions a day); <see cref="Sgp4Propagator"/> converts them.
/// </summary>
public sealed record MeanElements
{
    /// <summary>Catalogue number; 0 when the file gives none.</summary>
    public required int CatalogNumber { get; init; }
    /// <summary>Epoch.</summary>
    public required Instant Epoch { get; init; }
    /// <summary>Mean motion (Kozai), revolutions a day.</summary>
    public required double MeanMotionRevPerDay { get; init; }
    /// <summary>Eccentricity.</summary>
    public required double Eccentricity { get; init; }
    /// <summary>Inclination, deg.</summary>
    public required double InclinationDeg { get; init; }
    /// <summary>Right ascension of the ascending node, deg.</summary>
    public required double AscendingNodeDeg { get; init; }
    /// <summary>Argument of perigee, deg.</summary>
    public required double ArgumentOfPerigeeDeg { get; init; }
    /// <summary>Mean anomaly, deg.</summary>
    public required double MeanAnomalyDeg { get; init; }
    /// <summary>Drag term B*, 1/Earth radii.</summary>
    public required double BStarPerEarthRadius { get; init; }
    /// <summary>Number of the revolution that holds the epoch; null when the file gives none.</summary>
    public int? RevolutionAtEpoch { get; init; }
}
