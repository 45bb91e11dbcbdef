using Phasekeeper.Core.Geometry;

namespace Phasekeeper.Core.Orbits;

/// <summary>
/// Position (m) and inertial velocity (m/s) of the satellite in TEME (true equator, mean equinox of date): the one inertial
/// frame that the program works in. Files in other frames are converted when they are read.
/// </summary>
public readonly record struct OrbitState(Vec3 PositionTemeM, Vec3 VelocityTemeMs);
