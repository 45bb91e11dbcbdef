using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Winds;

/// <summary>What stands around a look that makes its winds doubtful: Sun, Moon, the South Atlantic region, the edge of the Earth's shadow.</summary>
public static class WindSurroundings
{
    /// <summary>Half the length of the ray that is looked at for the edge of the shadow, m (chosen: a ray passes the lowest 20 km above its tangent point within 500 km).</summary>
    public const double HalfRayM = 500_000;

    /// <summary>Reasons that hold for all rows of a view at a moment.</summary>
    /// <param name="time">Middle of the exposure.</param>
    /// <param name="looks">Lines of sight of the view.</param>
    /// <param name="avoid">Angles to keep.</param>
    public static IReadOnlyList<WindQualityReason> OfView(Instant time, IReadOnlyList<LookSample> looks, AvoidanceAngles avoid)
    {
        if (looks.Count == 0) return [];
        var reasons = new List<WindQualityReason>();
        var toEcef = EarthRotation.TemeToEcef(time);
        var satellite = looks[0].SatelliteEcefM;
        if (Nearest(SunPosition.At(time), toEcef, satellite, looks) is { } sun && sun < avoid.Sun)
            reasons.Add(new(WindQuality.Doubtful, WindReasonCatalog.Sun, $"The Sun stands {sun:0.0}° from the view (limit {avoid.Sun:0.0}°)."));
        if (Nearest(MoonPosition.At(time), toEcef, satellite, looks) is { } moon && moon < avoid.Moon)
            reasons.Add(new(WindQuality.Doubtful, WindReasonCatalog.Moon, $"The Moon stands {moon:0.0}° from the view (limit {avoid.Moon:0.0}°)."));
        if (GeomagneticField.IsSouthAtlantic(Wgs84.ToGeodetic(satellite), time))
            reasons.Add(new(WindQuality.Doubtful, WindReasonCatalog.SouthAtlantic, "The satellite is in the South Atlantic region: energetic particles hit the detector."));
        return reasons;
    }

    /// <summary>The reason of a row whose ray passes from sunlight into shadow within <see cref="HalfRayM"/> of its tangent point; null when it does not.</summary>
    public static WindQualityReason? OfRow(Instant time, LookSample look)
    {
        if (look.Outcome != LookOutcome.Tangent) return null;
        var sun = InEcef(SunPosition.At(time), EarthRotation.TemeToEcef(time));
        bool IsLit(double alongM) => Eclipse.Margin(ShadowKind.Umbra, look.TangentEcefM + alongM * look.DirectionEcef, sun) > 0;
        var lit = IsLit(0);
        return IsLit(-HalfRayM) == lit && IsLit(HalfRayM) == lit ? null
            : new(WindQuality.Doubtful, WindReasonCatalog.ShadowTransition, $"The edge of the Earth's shadow lies within {HalfRayM / 1000:0} km of the tangent point along the ray.");
    }

    /// <summary>The profile with the reasons of its rows added.</summary>
    public static LosWindProfile WithRowReasons(this LosWindProfile profile, IReadOnlyList<LookSample> looks) => profile with
    {
        Rows = [.. profile.Rows.Select(w => OfRow(profile.Time, looks[w.Row]) is not { } reason ? w
            : w with { Reasons = [.. w.Reasons, reason], Quality = w.Quality > reason.Quality ? w.Quality : reason.Quality })],
    };

    // Smallest angle to a line of sight, deg; null while the Earth hides the body. The Earth is a ball here: it matters only while the body rises or sets.
    private static double? Nearest(CelestialPosition body, Mat3 toEcef, Vec3 satelliteM, IReadOnlyList<LookSample> looks)
    {
        var from = InEcef(body, toEcef);
        var direction = (from.DistanceM * from.DirectionTeme - satelliteM).Normalized();
        var down = -1 * satelliteM.Normalized();
        if (Angle(direction, down) < Math.Asin(Math.Min(1, Wgs84.EquatorialRadiusM / satelliteM.Length))) return null;
        return looks.Min(l => Angle(direction, l.DirectionEcef)) * (180 / Math.PI);
    }

    private static CelestialPosition InEcef(CelestialPosition body, Mat3 toEcef) => body with { DirectionTeme = toEcef * body.DirectionTeme };

    private static double Angle(Vec3 a, Vec3 b) => Math.Atan2(Vec3.Cross(a, b).Length, Vec3.Dot(a, b));
}
