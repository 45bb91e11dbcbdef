using Phasekeeper.Core.Geometry;

namespace Phasekeeper.Core.Limb;

/// <summary>
/// The tangent point of a ray: where its height over the WGS 84 ellipsoid is least, that is where the ray is at right angles to the ellipsoid's normal. The root
/// of û·n(s) by Newton steps with the local curvature as slope. Against reference rays: 0.1 mm in height, 1e-9 deg, 1 cm along the ray
/// (test Tangent_points_meet_the_reference_rays).
/// </summary>
public static class TangentPoint
{
    /// <summary>
    /// Distance along the ray (m) and position of the tangent point; the distance is negative when the point lies behind the start.
    /// <paramref name="directionEcef"/> has length 1. For rays that pass the ellipsoid: ask <see cref="TryMeetEarth"/> first.
    /// </summary>
    public static (double RangeM, Geodetic Position) Find(Vec3 startEcefM, Vec3 directionEcef)
    {
        // The sphere's answer is within 25 km; three or four steps reach a nanometre.
        var s = -Vec3.Dot(startEcefM, directionEcef);
        for (var k = 0; k < 20; k++)
        {
            var g = Wgs84.ToGeodetic(startEcefM + s * directionEcef);
            var (east, north, up) = Wgs84.LocalAxes(g.LatitudeRad, g.LongitudeRad);
            var sin2 = up.Z * up.Z;
            var w2 = 1 - Wgs84.EccentricitySquared * sin2;
            var primeVertical = Wgs84.EquatorialRadiusM / Math.Sqrt(w2);
            var meridian = primeVertical * (1 - Wgs84.EccentricitySquared) / w2;
            double e = Vec3.Dot(east, directionEcef), n = Vec3.Dot(north, directionEcef);
            var step = -Vec3.Dot(up, directionEcef) / (e * e / (primeVertical + g.AltitudeM) + n * n / (meridian + g.AltitudeM));
            s += step;
            if (Math.Abs(step) < 1e-4) break;
        }
        return (s, Wgs84.ToGeodetic(startEcefM + s * directionEcef));
    }

    /// <summary>Distance (m) at which a ray from outside meets the WGS 84 ellipsoid; false when it passes by or leads away.</summary>
    public static bool TryMeetEarth(Vec3 startEcefM, Vec3 directionEcef, out double rangeM)
    {
        // Stretched along z, the ellipsoid is a sphere: |p + s·d|² = a².
        const double stretch = 1 / (1 - Wgs84.Flattening);
        var p = startEcefM with { Z = startEcefM.Z * stretch };
        var d = directionEcef with { Z = directionEcef.Z * stretch };
        double dd = Vec3.Dot(d, d), pd = Vec3.Dot(p, d);
        var discriminant = pd * pd - dd * (Vec3.Dot(p, p) - Wgs84.EquatorialRadiusM * Wgs84.EquatorialRadiusM);
        rangeM = 0;
        if (discriminant < 0 || pd >= 0) return false;
        rangeM = (-pd - Math.Sqrt(discriminant)) / dd;
        return rangeM >= 0;
    }
}
