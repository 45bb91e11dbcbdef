using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Orbits;

namespace Phasekeeper.Core.Limb;

/// <summary>
/// Where the axes of the satellite's body point, as unit vectors in TEME. Nominal (contract.md section 2, Frames): z to the Earth's centre (−r),
/// y = −(r × v), x = y × z, with inertial r and v.
/// </summary>
public readonly record struct BodyAttitude(Vec3 XTeme, Vec3 YTeme, Vec3 ZTeme)
{
    /// <summary>The nominal attitude at a state.</summary>
    public static BodyAttitude Nominal(OrbitState state)
    {
        var z = (-state.PositionTemeM).Normalized();
        var y = (-Vec3.Cross(state.PositionTemeM, state.VelocityTemeMs)).Normalized();
        return new(Vec3.Cross(y, z), y, z);
    }

    /// <summary>
    /// From the quaternion that turns the axes of TEME into those of the body (so that it takes body coordinates to TEME by
    /// <see cref="Quaternion.Rotate"/>).
    /// </summary>
    public static BodyAttitude FromQuaternion(Quaternion temeToBody) =>
        new(temeToBody.Rotate(new(1, 0, 0)), temeToBody.Rotate(new(0, 1, 0)), temeToBody.Rotate(new(0, 0, 1)));

    /// <summary>
    /// Unit vector (TEME) of a line of sight: û = cos δ·(cos α·x − sin α·y) + sin δ·z, azimuth α from the velocity towards the left of the track,
    /// depression δ below the body's horizontal plane.
    /// </summary>
    public Vec3 LookTeme(double azimuthRad, double depressionRad)
    {
        var (sinA, cosA) = Math.SinCos(azimuthRad);
        var (sinD, cosD) = Math.SinCos(depressionRad);
        return cosD * (cosA * XTeme - sinA * YTeme) + sinD * ZTeme;
    }
}
