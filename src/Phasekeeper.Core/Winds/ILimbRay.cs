using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Limb;

namespace Phasekeeper.Core.Winds;

/// <summary>Height and slope of a line of sight at a distance from its tangent point.</summary>
public interface ILimbRay
{
    /// <summary>Height (m) and sine of the elevation of the ray over the local horizontal, at <paramref name="alongM"/> m beyond the tangent point (negative: before it).</summary>
    (double HeightM, double SinElevation) At(double alongM);
}

/// <summary>A line of sight over the WGS 84 ellipsoid.</summary>
/// <param name="TangentEcefM">Tangent point, Earth-fixed, m.</param>
/// <param name="DirectionEcef">Unit vector along the ray, away from the satellite.</param>
public readonly record struct Wgs84Ray(Vec3 TangentEcefM, Vec3 DirectionEcef) : ILimbRay
{
    /// <summary>The ray of a look that passes a tangent point.</summary>
    public Wgs84Ray(LookSample look) : this(look.TangentEcefM, look.DirectionEcef)
    {
    }

    /// <inheritdoc/>
    public (double HeightM, double SinElevation) At(double alongM)
    {
        var position = Wgs84.ToGeodetic(TangentEcefM + alongM * DirectionEcef);
        return (position.AltitudeM, Vec3.Dot(Wgs84.LocalAxes(position.LatitudeRad, position.LongitudeRad).Up, DirectionEcef));
    }
}

/// <summary>A line of sight over a sphere: for checks against closed forms.</summary>
/// <param name="RadiusM">Radius of the sphere, m.</param>
/// <param name="TangentHeightM">Height of the tangent point, m.</param>
public readonly record struct SphereRay(double RadiusM, double TangentHeightM) : ILimbRay
{
    /// <inheritdoc/>
    public (double HeightM, double SinElevation) At(double alongM)
    {
        var tangent = RadiusM + TangentHeightM;
        var radius = Math.Sqrt(tangent * tangent + alongM * alongM);
        return (radius - RadiusM, alongM / radius);
    }
}
