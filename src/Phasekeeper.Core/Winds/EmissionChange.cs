using Phasekeeper.Core.Geometry;

namespace Phasekeeper.Core.Winds;

/// <summary>
/// Relative change of the emission along the rays of an exposure, d ln ε/dx, one a detector row (NaN: unknown). Neighbouring exposures show the change along the track; what makes most of it,
/// sunlight, changes along the way to the Sun. So the horizontal gradient is a normal vector with 1σ of <see cref="LosWindOptions.UnseenEmissionGradient"/> in every direction and
/// <see cref="LosWindOptions.TerminatorEmissionGradient"/> towards the Sun near the terminator, the second derivative likewise (and the third, towards the Sun alone), and what they are along the ray, with their
/// uncertainty, follows from the neighbours on either side (conditional normal distribution; Rasmussen and Williams 2006, equation A.6). The second derivative counts as an error, measured or not: added to the
/// gradient it was drawn out to 900 km from neighbours at 450 km, and good green winds at twilight got errors of 1.12 σ in place of 1.03 (demo seeds 201–204, 601–604).
/// </summary>
/// <param name="AlongRayPerMm">Away from the satellite, 1 per 1000 km.</param>
/// <param name="SigmaPerMm">1σ.</param>
/// <param name="BendPerMm2">1σ of the second derivative, with what is measured of it, 1 per (1000 km)².</param>
/// <param name="ThirdPerMm3">1σ of the third derivative, 1 per (1000 km)³.</param>
public sealed record EmissionChange(double[] AlongRayPerMm, double[] SigmaPerMm, double[] BendPerMm2, double[] ThirdPerMm3)
{
    /// <summary>
    /// The change at a profile; null where it has no inverted winds. All are profiles made without it. Where no neighbour lies 100–3000 km away, nothing is measured: the change is zero with the uncertainty of
    /// the prior. Emissions are compared per second of integration.
    /// </summary>
    public static EmissionChange? FromNeighbours(LosWindProfile? before, LosWindProfile here, LosWindProfile? after, LosWindOptions? options = null) =>
        ProfileTrio.TryCreate(before, here, after) is { } profiles ? Of(profiles, options ?? LosWindOptions.Default) : null;

    internal static EmissionChange Of(ProfileTrio profiles, LosWindOptions options)
    {
        var (here, neighbours) = (profiles.Here.Profile, new[] { profiles.Before, profiles.After });
        var sun = SunPosition.DirectionEcef(here.Time);
        double[] change = Unknown(), sigma = Unknown(), bend = Unknown(), third = Unknown();
        foreach (var r in here.MatrixRows)
        {
            var row = here.Rows[r];
            if (Glow(profiles.Here, row.AltitudeKm) is not { } a) continue;
            var steps = new List<Step>();
            for (var side = 0; side < 2; side++)
            {
                if (Glow(neighbours[side], row.AltitudeKm) is not { } b) continue;
                var way = b.PositionMm - a.PositionMm;
                if (way.Length < AlongRayGradient.ShortestMm || way.Length > AlongRayGradient.LongestMm) continue;
                steps.Add(new(1 / way.Length * way, way.Length, b.LogEmission - a.LogEmission, b.Variance));
            }
            (change[r], sigma[r], bend[r], third[r]) = AlongRay(row, steps, a.Variance, sun, options);
        }
        return new(change, sigma, bend, third);

        double[] Unknown()
        {
            var values = new double[here.Rows.Count];
            Array.Fill(values, double.NaN);
            return values;
        }
    }

    // A neighbour: direction, distance, ln ε there less ln ε here, and the variance of its own ln ε.
    private readonly record struct Step(Vec3 Along, double LengthMm, double Change, double Variance);

    private static (double PerMm, double SigmaPerMm, double BendPerMm2, double ThirdPerMm3) AlongRay(LosWind row, List<Step> steps, double ownVariance, Vec3 sun, LosWindOptions options)
    {
        var (east, north, up) = Wgs84.LocalAxes(row.LatitudeRad, row.LongitudeRad);
        var ray = Math.Sin(row.AzimuthRad) * east + Math.Cos(row.AzimuthRad) * north;
        var zenithDeg = Math.Acos(Math.Clamp(Vec3.Dot(up, sun), -1, 1)) * (180 / Math.PI);
        var toSun = (sun - Vec3.Dot(up, sun) * up).Normalized();
        double Near(double widthDeg) => Math.Exp(-0.5 * Square((zenithDeg - options.TerminatorZenithDeg) / widthDeg));
        double sunward = Near(options.TerminatorWidthDeg) * options.TerminatorEmissionGradient, onset = Near(options.TerminatorOnsetDeg);
        double sunwardBend = onset * options.TerminatorEmissionBend, sunwardThird = onset * options.TerminatorEmissionThird;
        // Covariance of a derivative of some order along two directions.
        double Between(Vec3 a, Vec3 b, double anywhere, double towards, int order) =>
            anywhere * anywhere * Math.Pow(Vec3.Dot(a, b), order) + towards * towards * Math.Pow(Vec3.Dot(a, toSun) * Vec3.Dot(b, toSun), order);
        double Slopes(Vec3 a, Vec3 b) => Between(a, b, options.UnseenEmissionGradient, sunward, 1);
        double Bends(Vec3 a, Vec3 b) => Between(a, b, options.UnseenEmissionBend, sunwardBend, 2);
        double Thirds(Vec3 a, Vec3 b) => Between(a, b, 0, sunwardThird, 3);

        // ln ε changes by slope·x + bend·x²/2 + third·x³/6 on the way to a neighbour; both neighbours share the noise of the emission here.
        var m = steps.Count;
        double[] total = new double[m * m], slope = new double[m], bend = new double[m], change = new double[m];
        for (var i = 0; i < m; i++)
        {
            var (a, x) = (steps[i].Along, steps[i].LengthMm);
            for (var j = 0; j < m; j++)
            {
                var (b, y) = (steps[j].Along, steps[j].LengthMm);
                total[i * m + j] = x * y * (Slopes(a, b) + x * y * (Bends(a, b) / 4 + x * y * Thirds(a, b) / 36)) + ownVariance + (i == j ? steps[i].Variance : 0);
            }
            (slope[i], bend[i], change[i]) = (x * Slopes(ray, a), 0.5 * x * x * Bends(ray, a), steps[i].Change);
        }
        var third = Math.Sqrt(Thirds(ray, ray));
        if (m == 0 || SmallMatrix.TryFactor(total, m) is null) return (0, Math.Sqrt(Slopes(ray, ray)), Math.Sqrt(Bends(ray, ray)), third);
        double[] bySlope = [.. slope], byBend = [.. bend];
        SmallMatrix.Solve(total, m, bySlope);
        SmallMatrix.Solve(total, m, byBend);
        var restOfBend = Math.Max(0, Bends(ray, ray) - SmallMatrix.Dot(byBend, bend));
        return (SmallMatrix.Dot(bySlope, change), Math.Sqrt(Math.Max(0, Slopes(ray, ray) - SmallMatrix.Dot(bySlope, slope))), Math.Sqrt(restOfBend + Square(SmallMatrix.Dot(byBend, change))), third);
    }

    private static (double LogEmission, double Variance, Vec3 PositionMm)? Glow(ProfileInterpolation? profile, double altitudeKm)
    {
        if (profile?.Weights(altitudeKm) is not { } weights || !profile.TryLocate(altitudeKm, out var below, out var above, out var share)) return null;
        var rows = profile.Profile.MatrixRows;
        double log = 0, variance = 0;
        for (var k = 0; k < rows.Length; k++)
        {
            var row = profile.Profile.Rows[rows[k]];
            log += weights[k] * Math.Log(row.Emission / profile.Profile.IntegrationS);
            variance += Square(weights[k] * row.EmissionSigma / row.Emission);
        }
        return (log, variance, (1 - share) * AlongRayGradient.Position(below) + share * AlongRayGradient.Position(above));
    }

    private static double Square(double x) => x * x;
}
