using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Limb;

namespace Phasekeeper.Core.Winds;

/// <summary>
/// What a small rotation of the satellite does to a line of sight: <c>δû = axis × û</c>, so the motion term changes by <c>(ω⊕ × r − v)·δû</c> and the tangent point rises by
/// <c>range·(δû·up)</c>. Axes: yaw about the outward vertical, pitch about the orbit's normal, roll about the third, along the track.
/// </summary>
public static class AttitudeSensitivity
{
    /// <summary>Change of the motion term, m/s, and of the tangent height, m, per radian about yaw, pitch and roll.</summary>
    public static (double MotionMs, double HeightM)[] PerRadian(LookSample look, Vec3 inertialVelocityEcefAxesMs)
    {
        var up = look.SatelliteEcefM.Normalized();
        var normal = Vec3.Cross(look.SatelliteEcefM, inertialVelocityEcefAxesMs).Normalized();
        var along = Vec3.Cross(normal, up);
        var relative = Vec3.Cross(new(0, 0, Wgs84.RotationRateRadPerS), look.SatelliteEcefM) - inertialVelocityEcefAxesMs;
        var tangentUp = Wgs84.LocalAxes(look.TangentLatitudeRad, look.TangentLongitudeRad).Up;
        (double, double) Turn(Vec3 axis)
        {
            var change = Vec3.Cross(axis, look.DirectionEcef);
            return (Vec3.Dot(relative, change), look.RangeM * Vec3.Dot(change, tangentUp));
        }
        return [Turn(up), Turn(normal), Turn(along)];
    }
}
