namespace Phasekeeper.Core.Orbits.Sgp4;

/// <summary>
/// The gravity constants that mean elements are made with: WGS 72 (Hoots and Roehrich 1980, Spacetrack Report 3; AIAA 2006-6753, appendix A).
/// Lengths in Earth radii, times in minutes.
/// </summary>
internal static class GravityWgs72
{
    public const double EarthRadiusKm = 6378.135;
    public const double MuKm3PerS2 = 398600.8;
    public const double J2 = 0.001082616;
    public const double J3 = -0.00000253881;
    public const double J4 = -0.00000165597;

    /// <summary>√GM in Earth radii^1.5 a minute.</summary>
    public static readonly double Ke = 60 / Math.Sqrt(EarthRadiusKm * EarthRadiusKm * EarthRadiusKm / MuKm3PerS2);

    /// <summary>Earth radii a minute in km/s.</summary>
    public static readonly double SpeedUnitKmPerS = EarthRadiusKm * Ke / 60;
}
