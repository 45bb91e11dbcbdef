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

/// <summary>
/// A ray made quick: over a sphere <c>(R + h)² − s²</c> is constant along it, over the ellipsoid it changes so little that a polynomial through nine points of the ray (Chebyshev points; Newton's
/// form) gives heights within a centimetre (test A_smooth_ray_is_the_ray); its derivative gives the elevation, since <c>dh/ds</c> is the elevation's sine.
/// </summary>
public readonly struct SmoothRay
{
    private const int Points = 9;

    private readonly double[] _nodes, _coefficients;
    private readonly double _scaleM, _radiusM;

    /// <summary>Samples a ray up to <paramref name="reachM"/> m on both sides of its tangent point.</summary>
    public SmoothRay(ILimbRay ray, double reachM)
    {
        (_nodes, _coefficients, _scaleM) = (new double[Points], new double[Points], reachM);
        // The sphere through tangent point and both ends leaves least to the polynomial.
        double lowest = ray.At(0).HeightM, end = 0.5 * (ray.At(reachM).HeightM + ray.At(-reachM).HeightM);
        _radiusM = (reachM * reachM + lowest * lowest - end * end) / (2 * (end - lowest));
        for (var i = 0; i < Points; i++)
        {
            _nodes[i] = Math.Cos(Math.PI * (i + 0.5) / Points);
            var s = reachM * _nodes[i];
            var radius = _radiusM + ray.At(s).HeightM;
            _coefficients[i] = radius * radius - s * s;
        }
        for (var order = 1; order < Points; order++)
            for (var i = Points - 1; i >= order; i--) _coefficients[i] = (_coefficients[i] - _coefficients[i - 1]) / (_nodes[i] - _nodes[i - order]);
    }

    /// <summary>See <see cref="ILimbRay.At"/>.</summary>
    public (double HeightM, double SinElevation) At(double alongM)
    {
        var x = alongM / _scaleM;
        double value = _coefficients[Points - 1], slope = 0;
        for (var i = Points - 2; i >= 0; i--)
        {
            slope = value + slope * (x - _nodes[i]);
            value = _coefficients[i] + value * (x - _nodes[i]);
        }
        var radius = Math.Sqrt(value + alongM * alongM);
        return (radius - _radiusM, (slope / _scaleM + 2 * alongM) / (2 * radius));
    }
}
