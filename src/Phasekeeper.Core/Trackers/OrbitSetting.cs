using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Trackers;

/// <summary>Sun and shadow on one orbit.</summary>
public sealed record OrbitSetting
{
    /// <summary>Angle between the Sun and the orbital plane, degrees.</summary>
    public required double BetaDeg { get; init; }
    /// <summary>Fraction of the orbit in eclipse, 0…1.</summary>
    public required double? EclipseFraction { get; init; }
    /// <summary>Stretches in sunlight within the orbit, ascending.</summary>
    public IReadOnlyList<TimeStretch> Sunlit { get; init; } = [];
}

/// <summary>Where one view of one exposure looked.</summary>
/// <param name="Exposure">Exposure number.</param>
/// <param name="View">View id.</param>
/// <param name="SatelliteLatitudeDeg">Geodetic latitude below the satellite, degrees (for spikes).</param>
/// <param name="SatelliteLongitudeDeg">Longitude below the satellite, degrees east.</param>
/// <param name="TangentAltitudeKm">Altitude of each row's tangent point, km, length R; empty when not known.</param>
public sealed record ExposureGeometry(
    long Exposure, string View, double SatelliteLatitudeDeg, double SatelliteLongitudeDeg, double[] TangentAltitudeKm);

/// <summary>A wind of this orbit, as the trackers compare winds.</summary>
/// <param name="Time">Time of the measurement.</param>
/// <param name="View">View id; null for an eastward wind of the wind vector.</param>
/// <param name="Line">Line id.</param>
/// <param name="LatitudeDeg">Latitude of the tangent point, degrees.</param>
/// <param name="AltitudeKm">Altitude, km.</param>
/// <param name="Ascending">True on the northward leg of the orbit.</param>
/// <param name="WindMs">Line-of-sight wind (view given) or eastward wind (view null), m/s.</param>
/// <param name="SigmaMs">1σ, m/s.</param>
public readonly record struct OrbitWind(
    Instant Time, string? View, string Line, double LatitudeDeg, double AltitudeKm, bool Ascending, double WindMs, double SigmaMs);
