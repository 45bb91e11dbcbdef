using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Core.Comparison;

/// <summary>
/// Pairs of our winds with independent ones near in space and time. Line-of-sight winds: the independent wind is projected onto the look and, where its column reaches over what our
/// profile sees, taken through the averaging kernel (C. D. Rodgers, B. J. Connor (2003), J. Geophys. Res. 108, 4116, doi 10.1029/2002JD002299, with our prior of zero wind), so that what our profile cannot
/// resolve is not counted as an error; our σ is then the one against the wind seen through the kernel. Otherwise, and for vectors, the column is interpolated to the altitude.
/// </summary>
public sealed class ComparisonMatcher(IEnumerable<WindColumn> columns)
{
    /// <summary>Least share of a kernel row's absolute weights at altitudes that the column reaches.</summary>
    public const double LeastKernelCover = 0.9;

    private readonly WindColumnIndex _index = new(columns);

    /// <summary>Pairs of a profile's good winds, by row.</summary>
    public IEnumerable<ComparisonPair> Of(LosWindProfile profile, int orbit)
    {
        var sun = double.NaN;
        for (var row = 0; row < profile.Rows.Count; row++)
        {
            var wind = profile.Rows[row];
            if (wind.Quality != WindQuality.Good || !double.IsFinite(wind.WindMs)) continue;
            double latitude = wind.LatitudeRad * (180 / Math.PI), longitude = wind.LongitudeRad * (180 / Math.PI);
            if (_index.Nearest(profile.Time, latitude, longitude, ComparisonLimits.Widest) is not { } near) continue;
            if (ColumnSampler.At(near.Column, wind.AltitudeKm, ComparisonLimits.Widest.AltitudeKm) is not { } at) continue;
            var (sin, cos) = Math.SinCos(wind.AzimuthRad);
            var kernel = ThroughKernel(profile, row, near.Column, sin, cos);
            if (double.IsNaN(sun)) sun = LocalSolarTime.SubsolarLongitudeRad(profile.Time);
            yield return new()
            {
                Compared = ComparedWind.LineOfSight,
                View = profile.View,
                Line = profile.Line,
                Time = profile.Time,
                LatitudeDeg = latitude,
                LongitudeDeg = longitude,
                AltitudeKm = wind.AltitudeKm,
                LocalSolarTimeH = LocalSolarTime.Hours(wind.LongitudeRad, sun),
                OwnMs = wind.WindMs,
                OwnSigmaMs = kernel is null ? wind.SigmaMs : wind.SigmaThroughKernelMs,
                OtherMs = kernel?.WindMs ?? at.EastwardMs * sin + at.NorthwardMs * cos,
                OtherSigmaMs = kernel?.SigmaMs ?? Math.Sqrt(at.EastwardSigmaMs * sin * (at.EastwardSigmaMs * sin) + at.NorthwardSigmaMs * cos * (at.NorthwardSigmaMs * cos)),
                DistanceKm = near.DistanceKm,
                Minutes = near.Minutes,
                AltitudeGapKm = at.GapKm,
                Sampling = kernel is null ? ColumnSampling.Interpolated : ColumnSampling.Kernel,
                Orbit = orbit,
            };
        }
    }

    /// <summary>Pairs of a good vector: eastward and northward; none when nothing is near.</summary>
    public IEnumerable<ComparisonPair> Of(WindVector vector, int orbit)
    {
        if (vector.Quality != WindQuality.Good) yield break;
        double latitude = vector.LatitudeRad * (180 / Math.PI), longitude = vector.LongitudeRad * (180 / Math.PI);
        if (_index.Nearest(vector.Time, latitude, longitude, ComparisonLimits.Widest) is not { } near) yield break;
        if (ColumnSampler.At(near.Column, vector.AltitudeKm, ComparisonLimits.Widest.AltitudeKm) is not { } at) yield break;
        var pair = new ComparisonPair
        {
            Compared = ComparedWind.Eastward,
            View = "",
            Line = vector.Line,
            Time = vector.Time,
            LatitudeDeg = latitude,
            LongitudeDeg = longitude,
            AltitudeKm = vector.AltitudeKm,
            LocalSolarTimeH = LocalSolarTime.Hours(vector.LongitudeRad, LocalSolarTime.SubsolarLongitudeRad(vector.Time)),
            OwnMs = vector.EastwardMs,
            OwnSigmaMs = vector.EastwardSigmaMs,
            OtherMs = at.EastwardMs,
            OtherSigmaMs = at.EastwardSigmaMs,
            DistanceKm = near.DistanceKm,
            Minutes = near.Minutes,
            AltitudeGapKm = at.GapKm,
            Sampling = ColumnSampling.Interpolated,
            Orbit = orbit,
        };
        yield return pair;
        yield return pair with
        {
            Compared = ComparedWind.Northward,
            OwnMs = vector.NorthwardMs,
            OwnSigmaMs = vector.NorthwardSigmaMs,
            OtherMs = at.NorthwardMs,
            OtherSigmaMs = at.NorthwardSigmaMs,
        };
    }

    // Kernel altitudes beyond the column count as zero wind, our prior; they may carry a tenth of the weight at most.
    private static (double WindMs, double SigmaMs)? ThroughKernel(LosWindProfile profile, int row, WindColumn column, double sin, double cos)
    {
        var k = Array.IndexOf(profile.MatrixRows, row);
        var m = profile.KernelAltitudeKm.Length;
        if (k < 0 || m == 0 || !double.IsFinite(profile.Rows[row].SigmaThroughKernelMs)) return null;
        double wind = 0, eastSigma = 0, northSigma = 0, covered = 0, total = 0;
        for (var j = 0; j < m; j++)
        {
            var weight = profile.AveragingKernel[k * m + j];
            total += Math.Abs(weight);
            if (ColumnSampler.At(column, profile.KernelAltitudeKm[j], ComparisonLimits.Default.AltitudeKm) is not { } at) continue;
            covered += Math.Abs(weight);
            wind += weight * (at.EastwardMs * sin + at.NorthwardMs * cos);
            eastSigma += weight * at.EastwardSigmaMs * sin;
            northSigma += weight * at.NorthwardSigmaMs * cos;
        }
        return covered >= LeastKernelCover * total && total > 0 ? (wind, Math.Sqrt(eastSigma * eastSigma + northSigma * northSigma)) : null;
    }
}
