namespace Phasekeeper.Core.Geometry;

/// <summary>Where a body of the sky is seen from the Earth's centre: unit vector in TEME and distance in m.</summary>
public readonly record struct CelestialPosition(Vec3 DirectionTeme, double DistanceM);
