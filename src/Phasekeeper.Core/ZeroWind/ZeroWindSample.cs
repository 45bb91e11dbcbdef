using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.ZeroWind;

/// <summary>A corrected line-of-sight wind that may serve the zero wind: of quality good, with a position and a σ.</summary>
/// <param name="Time">Middle of the exposure.</param>
/// <param name="View">View id.</param>
/// <param name="Line">Line id.</param>
/// <param name="LatitudeDeg">Geodetic latitude of the tangent point, degrees.</param>
/// <param name="LocalSolarTimeH">Local solar time there, hours 0…24.</param>
/// <param name="AltitudeKm">Height over WGS 84, km.</param>
/// <param name="AzimuthRad">Direction of the look at the tangent point, clockwise from north, rad.</param>
/// <param name="Ascending">True on the northward leg of the orbit.</param>
/// <param name="WindMs">Wind along the look, away from the satellite, m/s.</param>
/// <param name="SigmaMs">1σ, m/s.</param>
public readonly record struct ZeroWindSample(
    Instant Time, string View, string Line, double LatitudeDeg, double LocalSolarTimeH, double AltitudeKm, double AzimuthRad, bool Ascending, double WindMs, double SigmaMs);
