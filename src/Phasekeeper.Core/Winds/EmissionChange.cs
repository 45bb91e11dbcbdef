using Phasekeeper.Core.Geometry;

namespace Phasekeeper.Core.Winds;

/// <summary>
/// Relative change of the emission along the rays of an exposure, d ln ε/dx, one a detector row (NaN: unknown). Neighbouring exposures show the change along the track; what makes most of it,
/// sunlight, changes along the way to the Sun. So the horizontal gradient is a normal vector with 1σ of <see cref="LosWindOptions.UnseenEmissionGradient"/> in every direction and
/// <see cref="LosWindOptions.TerminatorEmissionGradient"/> towards the Sun near the terminator, and its part along the ray, with its uncertainty, follows from the measured part along the track
/// (conditional normal distribution; Rasmussen and Williams 2006, equation A.6).
/// </summary>
/// <param name="AlongRayPerMm">Away from the satellite, 1 per 1000 km.</param>
/// <param name="SigmaPerMm">1σ.</param>
public sealed record EmissionChange(double[] AlongRayPerMm, double[] SigmaPerMm)
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
        double[] change = new double[here.Rows.Count], sigma = new double[here.Rows.Count];
        Array.Fill(change, double.NaN);
        Array.Fill(sigma, double.NaN);
        foreach (var r in here.MatrixRows)
        {
            var row = here.Rows[r];
            if (Glow(profiles.Here, row.AltitudeKm) is not { } a) continue;
            var steps = new List<(Vec3 Along, double PerMm, double Variance)>();
            for (var side = 0; side < 2; side++)
            {
                if (Glow(neighbours[side], row.AltitudeKm) is not { } b) continue;
                var step = (side == 0 ? -1 : 1) * (b.PositionMm - a.PositionMm);
                var length = step.Length;
                if (length < AlongRayGradient.ShortestMm || length > AlongRayGradient.LongestMm) continue;
                steps.Add((1 / length * step, (side == 0 ? -1 : 1) * (b.LogEmission - a.LogEmission) / length, (a.Variance + b.Variance) / (length * length)));
            }
            (change[r], sigma[r]) = AlongRay(row, steps, sun, options);
        }
        return new(change, sigma);
    }

    private static (double PerMm, double SigmaPerMm) AlongRay(LosWind row, List<(Vec3 Along, double PerMm, double Variance)> steps, Vec3 sun, LosWindOptions options)
    {
        var (east, north, up) = Wgs84.LocalAxes(row.LatitudeRad, row.LongitudeRad);
        var ray = Math.Sin(row.AzimuthRad) * east + Math.Cos(row.AzimuthRad) * north;
        var zenithDeg = Math.Acos(Math.Clamp(Vec3.Dot(up, sun), -1, 1)) * (180 / Math.PI);
        var toSun = (sun - Vec3.Dot(up, sun) * up).Normalized();
        var off = (zenithDeg - options.TerminatorZenithDeg) / options.TerminatorWidthDeg;
        var towards = options.TerminatorEmissionGradient * Math.Exp(-0.5 * off * off);
        double anywhere = options.UnseenEmissionGradient * options.UnseenEmissionGradient, sunward = towards * towards;
        double Covariance(Vec3 a, Vec3 b) => anywhere * Vec3.Dot(a, b) + sunward * Vec3.Dot(a, toSun) * Vec3.Dot(b, toSun);

        if (steps.Count == 0) return (0, Math.Sqrt(Covariance(ray, ray)));
        // The mean of both sides is the change here; by how much they differ is how far it is from a straight line.
        var along = steps.Count == 1 ? steps[0].Along : (steps[0].Along + steps[1].Along).Normalized();
        var measured = steps.Average(s => s.PerMm);
        var variance = steps.Sum(s => s.Variance) / (steps.Count * steps.Count) + (steps.Count == 1 ? 0 : Square(0.5 * (steps[1].PerMm - steps[0].PerMm)));
        double ofTrack = Covariance(along, along) + variance, shared = Covariance(ray, along);
        return (shared / ofTrack * measured, Math.Sqrt(Math.Max(0, Covariance(ray, ray) - shared * shared / ofTrack)));
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
