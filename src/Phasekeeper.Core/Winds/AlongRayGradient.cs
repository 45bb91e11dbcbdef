using Phasekeeper.Core.Geometry;

namespace Phasekeeper.Core.Winds;

/// <summary>
/// Change of the wind along the rays of an exposure from the exposures before and after it (same view and line): a ray passes the layers above its tangent point hundreds of kilometres
/// from where higher rows measured them. What changes along the track is projected onto the ray; the change across the track cannot be seen and is taken as zero.
/// What the emission does is <see cref="EmissionChange"/>.
/// </summary>
internal static class AlongRayGradient
{
    public const double ShortestMm = 0.1, LongestMm = 3;

    /// <summary>
    /// Gradients at a profile, m/s per 1000 km away from the satellite, one a detector row, NaN where unknown; null without a neighbour that lies 100–3000 km away. Each is shrunk by its own
    /// noise against three times <see cref="LosWindOptions.UnseenWindGradient"/>. The neighbours are profiles made without gradients, so a profile depends on three exposures and no more.
    /// </summary>
    public static double[]? Of(ProfileTrio profiles, LosWindOptions options)
    {
        var (first, own, last) = profiles;
        var here = own.Profile;
        var gradient = new double[here.Rows.Count];
        Array.Fill(gradient, double.NaN);
        var any = false;
        foreach (var r in here.MatrixRows)
        {
            var row = here.Rows[r];
            if ((Place(first, row.AltitudeKm) ?? Place(own, row.AltitudeKm)) is not { } a) continue;
            if ((Place(last, row.AltitudeKm) ?? Place(own, row.AltitudeKm)) is not { } b) continue;
            var step = b.PositionMm - a.PositionMm;
            var length = step.Length;
            if (length < ShortestMm || length > LongestMm) continue;
            any = true;
            var (east, north, _) = Wgs84.LocalAxes(row.LatitudeRad, row.LongitudeRad);
            var ray = Math.Sin(row.AzimuthRad) * east + Math.Cos(row.AzimuthRad) * north;
            var prior = 9 * options.UnseenWindGradient * options.UnseenWindGradient;
            var variance = (a.VarianceM2S2 + b.VarianceM2S2) / (length * length);
            gradient[r] = (b.WindMs - a.WindMs) / length * (prior / (prior + variance)) * Vec3.Dot(step, ray) / length;
        }
        return any ? gradient : null;
    }

    private static (double WindMs, double VarianceM2S2, Vec3 PositionMm)? Place(ProfileInterpolation? profile, double altitudeKm)
    {
        if (profile?.Weights(altitudeKm) is not { } weights || !profile.TryLocate(altitudeKm, out var below, out var above, out var share)) return null;
        var (wind, variance) = profile.At(weights);
        return (wind, variance, (1 - share) * Position(below) + share * Position(above));
    }

    public static Vec3 Position(LosWind wind) => 1e-6 * Wgs84.ToEcef(new(wind.LatitudeRad, wind.LongitudeRad, wind.AltitudeKm * 1e3));
}
