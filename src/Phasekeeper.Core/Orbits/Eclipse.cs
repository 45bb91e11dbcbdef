using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits;

/// <summary>What counts as shadow. The Earth is a ball of equatorial radius (WGS 84) without air.</summary>
public enum ShadowKind
{
    /// <summary>A cylinder behind the Earth: the Sun as a point infinitely far away.</summary>
    Cylinder,
    /// <summary>The cone in which no part of the Sun is seen.</summary>
    Umbra,
    /// <summary>The cone in which any part of the Sun is covered (it holds the umbra).</summary>
    Penumbra,
}

/// <summary>
/// Beta angle and eclipses. Shares of an orbit against reference cases: 1e-7 of an orbit with the same Sun (test Eclipse_shares_meet_the_reference);
/// flattening of the Earth, left out, moves an entry by up to about 10 s at high latitudes, refraction by a few s.
/// </summary>
public static class Eclipse
{
    private const double ScanSeconds = 30, ResolutionSeconds = 1e-6;

    /// <summary>Angle of the Sun above the orbit's plane, rad; positive on the side of r × v.</summary>
    public static double BetaRad(OrbitState state, CelestialPosition sun) =>
        Math.Asin(Math.Clamp(Vec3.Dot(Vec3.Cross(state.PositionTemeM, state.VelocityTemeMs).Normalized(), sun.DirectionTeme), -1, 1));

    /// <summary>
    /// How far from the shadow a position is: negative inside. Cylinder: as a length over the Earth's radius; cones: rad between the Sun's and the
    /// Earth's limb as seen from the satellite's place.
    /// </summary>
    public static double Margin(ShadowKind kind, Vec3 positionTemeM, CelestialPosition sun)
    {
        var along = Vec3.Dot(positionTemeM, sun.DirectionTeme);
        if (kind == ShadowKind.Cylinder)
        {
            var across = (positionTemeM - along * sun.DirectionTeme).Length / Wgs84.EquatorialRadiusM - 1;
            // On the day side the distance to the terminator keeps the margin positive and continuous.
            return along < 0 ? across : Math.Max(across, 0) + along / Wgs84.EquatorialRadiusM;
        }
        var toSun = sun.DistanceM * sun.DirectionTeme - positionTemeM;
        double r = positionTemeM.Length, d = toSun.Length;
        var sunRadius = Math.Asin(SunPosition.RadiusM / d);
        var earthRadius = Math.Asin(Math.Min(1, Wgs84.EquatorialRadiusM / r));
        var separation = Math.Acos(Math.Clamp(-Vec3.Dot(positionTemeM, toSun) / (r * d), -1, 1));
        return separation - earthRadius + (kind == ShadowKind.Umbra ? sunRadius : -sunRadius);
    }

    /// <summary>
    /// The stretches in shadow between two moments, where the ephemeris covers them: entry and exit to 1 µs, or the limit asked for or covered.
    /// A grazing pass of any length is found. <paramref name="sun"/>: null = <see cref="SunPosition.At"/>.
    /// </summary>
    public static IReadOnlyList<TimeStretch> Shadows(ShadowKind kind, IEphemeris ephemeris, Instant from, Instant to, Func<Instant, CelestialPosition>? sun = null)
    {
        sun ??= SunPosition.At;
        var result = new List<TimeStretch>();
        foreach (var stretch in ephemeris.Coverage)
        {
            var start = stretch.Start > from ? stretch.Start : from;
            var end = stretch.End < to ? stretch.End : to;
            if (start >= end) continue;
            double MarginAt(double s) => ephemeris.TryGetState(start.AddSeconds(s), out var state)
                ? Margin(kind, state.PositionTemeM, sun(start.AddSeconds(s))) : double.PositiveInfinity;
            foreach (var (a, b) in Below(MarginAt, end - start)) result.Add(new(start.AddSeconds(a), start.AddSeconds(b)));
        }
        return TimeStretch.Union(result);
    }

    /// <summary>Share of a stretch spent in shadow, 0…1; false unless the ephemeris covers all of it.</summary>
    public static bool TryShare(ShadowKind kind, IEphemeris ephemeris, Instant from, Instant to, out double share, Func<Instant, CelestialPosition>? sun = null)
    {
        share = 0;
        if (to <= from || !ephemeris.Coverage.Any(c => c.Contains(from) && c.Contains(to))) return false;
        share = Shadows(kind, ephemeris, from, to, sun).Sum(s => s.Seconds) / (to - from);
        return true;
    }

    /// <summary>Where a function of time is negative, from 0 to <paramref name="length"/> s.</summary>
    private static IEnumerable<(double From, double To)> Below(Func<double, double> f, double length)
    {
        double t0 = 0, f0 = f(0), before = double.PositiveInfinity;
        double? open = f0 < 0 ? 0 : null;
        while (t0 < length)
        {
            var t1 = Math.Min(length, t0 + ScanSeconds);
            var f1 = f(t1);
            if (open is null && f1 >= 0 && f0 >= 0 && f0 <= before && f0 <= f1)
            {
                // A dip between samples: its bottom may lie in the shadow.
                var bottom = Minimum(f, Math.Max(0, t0 - ScanSeconds), t1);
                if (f(bottom) < 0) yield return (Root(f, Math.Max(0, t0 - ScanSeconds), bottom), Root(f, t1, bottom));
            }
            else if (open is null && f1 < 0) open = Root(f, t0, t1);
            else if (open is { } entry && f1 >= 0)
            {
                yield return (entry, Root(f, t1, t0));
                open = null;
            }
            (before, t0, f0) = (f0, t1, f1);
        }
        if (open is { } last) yield return (last, length);
    }

    private static double Root(Func<double, double> f, double outside, double inside)
    {
        while (Math.Abs(inside - outside) > ResolutionSeconds)
        {
            var middle = (inside + outside) / 2;
            if (f(middle) < 0) inside = middle;
            else outside = middle;
        }
        return (inside + outside) / 2;
    }

    private static double Minimum(Func<double, double> f, double a, double b)
    {
        // Golden section.
        const double share = 0.3819660112501051;
        double x = a + share * (b - a), y = b - share * (b - a), fx = f(x), fy = f(y);
        while (b - a > 1e-3)
        {
            if (fx < fy)
            {
                (b, y, fy) = (y, x, fx);
                x = a + share * (b - a);
                fx = f(x);
            }
            else
            {
                (a, x, fx) = (x, y, fy);
                y = b - share * (b - a);
                fy = f(y);
            }
        }
        return (a + b) / 2;
    }
}
