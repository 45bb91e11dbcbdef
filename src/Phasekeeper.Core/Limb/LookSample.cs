using Phasekeeper.Core.Geometry;

namespace Phasekeeper.Core.Limb;

/// <summary>
/// A line of sight and its lowest point over WGS 84. Earth-fixed axes, m, rad. With <see cref="LookOutcome.Tangent"/> that is the tangent point; with
/// <see cref="LookOutcome.Rises"/> it is the satellite itself (range 0); with <see cref="LookOutcome.MeetsEarth"/> it is where the ray meets the ellipsoid (altitude 0).
/// </summary>
public readonly record struct LookSample
{
    /// <summary>What the line of sight does.</summary>
    public required LookOutcome Outcome { get; init; }
    /// <summary>Unit vector û from the satellite along the line of sight, Earth-fixed axes.</summary>
    public required Vec3 DirectionEcef { get; init; }
    /// <summary>Satellite, Earth-fixed, m.</summary>
    public required Vec3 SatelliteEcefM { get; init; }
    /// <summary>Tangent point, Earth-fixed, m.</summary>
    public required Vec3 TangentEcefM { get; init; }
    /// <summary>Geodetic latitude of the tangent point, rad.</summary>
    public required double TangentLatitudeRad { get; init; }
    /// <summary>Longitude of the tangent point, rad, −π…π, east positive.</summary>
    public required double TangentLongitudeRad { get; init; }
    /// <summary>Height of the tangent point over WGS 84, m.</summary>
    public required double TangentAltitudeM { get; init; }
    /// <summary>Direction of the look at the tangent point, clockwise from north, rad, 0…2π.</summary>
    public required double AzimuthRad { get; init; }
    /// <summary>Distance from the satellite to the tangent point, m.</summary>
    public required double RangeM { get; init; }
    /// <summary>v_sc·û, the satellite's inertial speed along the line of sight, m/s.</summary>
    public required double SatelliteSpeedMs { get; init; }
    /// <summary>(ω⊕ × r_t)·û, the speed of air that turns with the Earth along the line of sight, m/s; the same at every point of the ray.</summary>
    public required double EarthRotationMs { get; init; }
    /// <summary>w0 = (ω⊕ × r_t)·û − v_sc·û: apparent speed of resting air away from the satellite, m/s (contract.md section 4).</summary>
    public double MotionMs => EarthRotationMs - SatelliteSpeedMs;
}
