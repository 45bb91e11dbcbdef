using Phasekeeper.Core.Geometry;

namespace Phasekeeper.Core.Winds;

/// <summary>
/// Wind vectors from two views (domain.md section 3 step 9). The tangent points of the second view are the places; the first view's wind there lies between two consecutive exposures of
/// it, each interpolated to the place's height (natural cubic spline) and both to the place along the track (linear). With <c>los = u·sin(az) + v·cos(az)</c> of both looks, az clockwise from
/// north at each look, u and v follow from two equations with two unknowns; their covariance from both looks' errors.
/// <para>
/// Errors of neighbouring exposures of a view: corrections (lamp, shift, zero wind, ephemeris, attitude) are taken as common, photon noise and inversion as independent. Errors of the two views: a turn of the
/// satellite that nobody reports is the same in both looks and enters with its signed effect on each (<see cref="AttitudeErrors"/>). All else is taken as independent: lamp, image shift and zero wind are measured in each
/// view by itself, and an error of the satellite's velocity, of no preferred direction, has nearly independent parts along two lines of sight at right angles (correlation sin² of the depression,
/// 0.1). What the wind may change between the looks is added: with time (<see cref="ChangeMsPerHour"/>), and over their distance, since the Earth
/// turns below the orbit meanwhile (<see cref="AcrossTrackGradient"/>).
/// </para>
/// </summary>
public static class WindVectorMatcher
{
    /// <summary>1σ of the wind's change with time, m/s per hour (chosen: a semidiurnal tide of 20 m/s).</summary>
    public const double ChangeMsPerHour = 10;
    /// <summary>1σ of the wind's change across the track, m/s per 1000 km, of which neither view's own exposures tell (chosen: twice what is left unseen along a ray).</summary>
    public const double AcrossTrackGradient = 24;
    /// <summary>Longest time between the looks, s (chosen: the second look comes some 3–10 minutes after the first).</summary>
    public const double LongestSeconds = 1200;
    /// <summary>Largest distance of the place from the first view's track of tangent points, km (the Earth turns by up to 230 km in eight minutes at the equator).</summary>
    public const double LargestSeparationKm = 300;
    /// <summary>Largest distance between two consecutive tangent points of the first view, km (chosen: one missing exposure of a minute's cadence).</summary>
    public const double LargestStepKm = 1000;
    /// <summary>Smallest |sin| of the angle between the looks.</summary>
    public const double SmallestSine = 0.3;

    /// <summary>Vectors of one line, by time and then row.</summary>
    /// <param name="first">Profiles of one view and the line, in time order.</param>
    /// <param name="second">Profiles of the other view and the same line, in time order.</param>
    public static IReadOnlyList<WindVector> Match(IReadOnlyList<LosWindProfile> first, IReadOnlyList<LosWindProfile> second) => [.. MatchEach(first, second).SelectMany(v => v)];

    /// <summary>As <see cref="Match"/>, the vectors of each profile of the second view by themselves, in the order of the profiles: none depends on the others.</summary>
    public static IEnumerable<IReadOnlyList<WindVector>> MatchEach(IReadOnlyList<LosWindProfile> first, IEnumerable<LosWindProfile> second)
    {
        var track = first.Select(ProfileInterpolation.TryCreate).Where(p => p is not null).Select(p => p!).ToArray();
        foreach (var profile in second)
        {
            var vectors = new List<WindVector>();
            // Profiles are in time order: only those within reach are looked at.
            var begin = Math.Max(0, Array.FindIndex(track, t => t.Profile.Time - profile.Time >= -LongestSeconds - 60));
            var end = begin;
            while (end < track.Length && track[end].Profile.Time - profile.Time is >= -LongestSeconds - 60 and <= LongestSeconds + 60) end++;
            foreach (var row in profile.MatrixRows.Order())
                if (TryMatch(track.AsSpan(begin, end - begin), profile, profile.Rows[row]) is { } vector) vectors.Add(vector);
            yield return vectors;
        }
    }

    private static WindVector? TryMatch(ReadOnlySpan<ProfileInterpolation> track, LosWindProfile profile, LosWind wind)
    {
        var place = PositionKm(wind, wind.AltitudeKm);
        var (best, nearest, share) = (-1, LargestSeparationKm, 0.0);
        var next = track.Length > 0 ? TangentKm(track[0], wind.AltitudeKm) : null;
        for (var i = 0; i + 1 < track.Length; i++)
        {
            var before = next;
            next = TangentKm(track[i + 1], wind.AltitudeKm);
            if (before is not { } a || next is not { } b) continue;
            var step = b - a;
            var length = step.Length;
            if (length < 1 || length > LargestStepKm) continue;
            var t = Vec3.Dot(place - a, step) / (length * length);
            if (t is < 0 or > 1) continue;
            // Height of the arc over the chord is no distance: compared on the sphere through the place.
            var separation = Angle(a + t * step, place) * place.Length;
            if (separation < nearest) (best, nearest, share) = (i, separation, t);
        }
        if (best < 0) return null;
        var (earlier, after) = (track[best], track[best + 1]);
        var lookTime = earlier.Profile.Time.AddSeconds(share * (after.Profile.Time - earlier.Profile.Time));
        var seconds = profile.Time - lookTime;
        if (Math.Abs(seconds) > LongestSeconds) return null;

        var (w1, own1, common1, turn1) = Look(earlier, wind.AltitudeKm);
        var (w2, own2, common2, turn2) = Look(after, wind.AltitudeKm);
        var los = (1 - share) * w1 + share * w2;
        var common = (1 - share) * common1 + share * common2;
        var change = ChangeMsPerHour * seconds / 3600;
        var apart = 1e-3 * nearest * AcrossTrackGradient;
        var turn = (1 - share) * turn1 + share * turn2;
        var variance = (1 - share) * (1 - share) * own1 + share * share * own2 + common * common + AttitudeErrors.Covariance(turn, turn) + change * change + apart * apart;
        var azimuthBefore = Azimuth(earlier, wind.AltitudeKm);
        var azimuth = azimuthBefore + share * Math.IEEERemainder(Azimuth(after, wind.AltitudeKm) - azimuthBefore, 2 * Math.PI);

        var (s1, c1) = Math.SinCos(azimuth);
        var (s2, c2) = Math.SinCos(wind.AzimuthRad);
        var determinant = s1 * c2 - s2 * c1;
        if (Math.Abs(determinant) < SmallestSine) return null;
        var other = wind.SigmaMs * wind.SigmaMs;
        var both = AttitudeErrors.Covariance(turn, wind.Budget.Attitude);
        double d2 = determinant * determinant;
        earlier.TryLocate(wind.AltitudeKm, out var below1, out var above1, out _);
        after.TryLocate(wind.AltitudeKm, out var below2, out var above2, out _);
        // Rows that carry no weight do not count: a bracket of two rows and two exposures is as good as its worst member.
        LosWind[] parts = [below1, above1, below2, above2, wind];
        return new()
        {
            Time = profile.Time.AddSeconds(-seconds / 2),
            Line = profile.Line,
            FirstExposure = share < 0.5 ? earlier.Profile.Exposure : after.Profile.Exposure,
            SecondExposure = profile.Exposure,
            Row = wind.Row,
            LatitudeRad = wind.LatitudeRad,
            LongitudeRad = wind.LongitudeRad,
            AltitudeKm = wind.AltitudeKm,
            SecondsBetweenLooks = Math.Abs(seconds),
            SeparationKm = nearest,
            EastwardMs = (los * c2 - wind.WindMs * c1) / determinant,
            NorthwardMs = (wind.WindMs * s1 - los * s2) / determinant,
            EastwardSigmaMs = Math.Sqrt((variance * c2 * c2 - 2 * both * c1 * c2 + other * c1 * c1) / d2),
            NorthwardSigmaMs = Math.Sqrt((variance * s2 * s2 - 2 * both * s1 * s2 + other * s1 * s1) / d2),
            CovarianceM2S2 = -(variance * s2 * c2 - both * (s1 * c2 + s2 * c1) + other * s1 * c1) / d2,
            Quality = parts.Max(p => p.Quality),
            Reasons = [.. parts.SelectMany(p => p.Reasons).DistinctBy(r => r.Word)],
        };
    }

    // Wind at a height, the variance that is this exposure's own, the 1σ that its neighbours share, and what a turn of the satellite does, which the other view shares as well.
    private static (double WindMs, double OwnM2S2, double CommonMs, AttitudeErrors Turn) Look(ProfileInterpolation profile, double altitudeKm)
    {
        var weights = profile.Weights(altitudeKm)!;
        var (wind, variance) = profile.At(weights);
        var turn = default(AttitudeErrors);
        for (var k = 0; k < weights.Length; k++) turn += weights[k] * profile.Profile.Rows[profile.Profile.MatrixRows[k]].Budget.Attitude;
        // The profile's covariance holds the turn and the common terms; rounding may leave it a trifle below them.
        var rest = Math.Max(0, variance - AttitudeErrors.Covariance(turn, turn));
        profile.TryLocate(altitudeKm, out var below, out var above, out var share);
        var common = Math.Min((1 - share) * Common(below.Budget) + share * Common(above.Budget), rest);
        return (wind, rest - common, Math.Sqrt(common), turn);
    }

    private static double Common(WindErrorBudget b) =>
        b.ThermalMs * b.ThermalMs + b.ImageShiftMs * b.ImageShiftMs + b.ZeroWindMs * b.ZeroWindMs + b.EphemerisMs * b.EphemerisMs;

    private static double Azimuth(ProfileInterpolation profile, double altitudeKm)
    {
        profile.TryLocate(altitudeKm, out var below, out var above, out var share);
        return below.AzimuthRad + share * Math.IEEERemainder(above.AzimuthRad - below.AzimuthRad, 2 * Math.PI);
    }

    private static Vec3? TangentKm(ProfileInterpolation profile, double altitudeKm)
    {
        if (!profile.TryLocate(altitudeKm, out var below, out var above, out var share)) return null;
        return (1 - share) * PositionKm(below, altitudeKm) + share * PositionKm(above, altitudeKm);
    }

    private static Vec3 PositionKm(LosWind wind, double altitudeKm) => 1e-3 * Wgs84.ToEcef(new(wind.LatitudeRad, wind.LongitudeRad, altitudeKm * 1e3));

    private static double Angle(Vec3 a, Vec3 b) => Math.Atan2(Vec3.Cross(a, b).Length, Vec3.Dot(a, b));
}
