using Phasekeeper.Core.Winds;

namespace Phasekeeper.Demo.Tests.Winds;

/// <summary>
/// What the two looks' averaging kernels show of the true winds, solved for the vector as the matcher solves winds. The σ of these vectors is that of the measured vectors against them: without the smoothing by the
/// prior, and without what the wind does between the two looks, since each look's truth is that of its own time and place. Of the smoothing's covariance only the diagonal is kept in a profile; correlations between heights are taken
/// to be those of the whole error (they hardly count: rows of both views lie at nearly the same heights).
/// </summary>
public static class VectorsThroughKernel
{
    /// <summary>The vectors, one for one those of <see cref="WindVectorMatcher.Match"/> with the same profiles.</summary>
    /// <param name="first">Profiles of the first view and a line, in time order.</param>
    /// <param name="second">Profiles of the second view and the same line, in time order.</param>
    /// <param name="seen">True winds through a profile's averaging kernel, in the order of its matrix rows, m/s.</param>
    public static WindVector[] Of(IReadOnlyList<LosWindProfile> first, IReadOnlyList<LosWindProfile> second, Func<LosWindProfile, double[]> seen)
    {
        var vectors = WindVectorMatcher.Match([.. first.Select(p => Seen(p, seen))], [.. second.Select(p => Seen(p, seen))]);
        // The vector of 1 m/s in the first look and none in the second: what an error of the first look does to east and north.
        var share = WindVectorMatcher.Match([.. first.Select(p => Alike(p, 1))], [.. second.Select(p => Alike(p, 0))]);
        return [.. vectors.Zip(share, Without)];
    }

    private static WindVector Without(WindVector v, WindVector share)
    {
        var change = WindVectorMatcher.ChangeMsPerHour * v.SecondsBetweenLooks / 3600;
        var apart = WindVectorMatcher.AcrossTrackGradient * 1e-3 * v.SeparationKm;
        var between = change * change + apart * apart;
        return v with
        {
            EastwardSigmaMs = Math.Sqrt(v.EastwardSigmaMs * v.EastwardSigmaMs - between * share.EastwardMs * share.EastwardMs),
            NorthwardSigmaMs = Math.Sqrt(v.NorthwardSigmaMs * v.NorthwardSigmaMs - between * share.NorthwardMs * share.NorthwardMs),
            CovarianceM2S2 = v.CovarianceM2S2 - between * share.EastwardMs * share.NorthwardMs,
        };
    }

    private static LosWindProfile Seen(LosWindProfile profile, Func<LosWindProfile, double[]> seen)
    {
        if (profile.MatrixRows.Length == 0) return profile;
        var (truth, n) = (seen(profile), profile.MatrixRows.Length);
        var rows = profile.Rows.ToArray();
        var shrink = new double[n];
        for (var k = 0; k < n; k++)
        {
            var row = rows[profile.MatrixRows[k]];
            shrink[k] = row.SigmaThroughKernelMs / row.SigmaMs;
            rows[profile.MatrixRows[k]] = row with { WindMs = truth[k], SigmaMs = row.SigmaThroughKernelMs };
        }
        var covariance = (double[])profile.CovarianceM2S2.Clone();
        for (var i = 0; i < covariance.Length; i++) covariance[i] *= shrink[i / n] * shrink[i % n];
        return profile with { Rows = rows, CovarianceM2S2 = covariance };
    }

    private static LosWindProfile Alike(LosWindProfile profile, double windMs) => profile with { Rows = [.. profile.Rows.Select(w => w with { WindMs = windMs })] };
}
