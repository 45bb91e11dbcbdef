using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Core.WindMeans;

/// <summary>Wind vectors of one orbit, line, quality and bin, condensed.</summary>
/// <param name="Bin">Bin of <see cref="WindBinGrid"/>.</param>
/// <param name="Doubtful">True for vectors of doubtful quality, which are kept apart from good ones; bad ones are in neither.</param>
/// <param name="Count">Vectors behind it, at least 1.</param>
/// <param name="EastwardMs">Mean eastward wind, m/s.</param>
/// <param name="NorthwardMs">Mean northward wind, m/s.</param>
/// <param name="EastwardSquares">Sum of squares of the eastward winds about their mean, (m/s)².</param>
/// <param name="NorthwardSquares">The same for the northward winds.</param>
public readonly record struct WindBin(int Bin, bool Doubtful, int Count, double EastwardMs, double NorthwardMs, double EastwardSquares, double NorthwardSquares);

/// <summary>All bins of one orbit and line, by quality (good first) and bin: means of days, weeks and seasons are made from these, not from vectors.</summary>
/// <param name="Orbit">Orbit number.</param>
/// <param name="Line">Line id.</param>
/// <param name="Bins">The bins.</param>
public sealed record OrbitWindBins(int Orbit, string Line, IReadOnlyList<WindBin> Bins)
{
    /// <summary>Condenses an orbit's vectors of one line. Numbers are rounded to single precision, as they are stored; the result depends on the set of vectors alone.</summary>
    public static OrbitWindBins Of(int orbit, string line, IEnumerable<WindVector> vectors)
    {
        // One order for any order of arrival: sums of doubles depend on it.
        var binned = new SortedDictionary<(bool Doubtful, int Bin), List<WindVector>>();
        foreach (var v in vectors.OrderBy(v => v.Time).ThenBy(v => v.SecondExposure).ThenBy(v => v.Row))
        {
            if (v.Quality == WindQuality.Bad || !double.IsFinite(v.EastwardMs) || !double.IsFinite(v.NorthwardMs)) continue;
            var bin = WindBinGrid.Of(v.LatitudeRad * (180 / Math.PI), LocalSolarTime.Hours(v.LongitudeRad, LocalSolarTime.SubsolarLongitudeRad(v.Time)), v.AltitudeKm);
            if (bin < 0) continue;
            var key = (v.Quality == WindQuality.Doubtful, bin);
            if (!binned.TryGetValue(key, out var list)) binned[key] = list = [];
            list.Add(v);
        }
        return new(orbit, line, [.. binned.Select(b => Condensed(b.Key.Bin, b.Key.Doubtful, b.Value))]);
    }

    private static WindBin Condensed(int bin, bool doubtful, List<WindVector> vectors)
    {
        double u = vectors.Average(v => v.EastwardMs), w = vectors.Average(v => v.NorthwardMs);
        return new(bin, doubtful, vectors.Count, (float)u, (float)w, (float)vectors.Sum(v => (v.EastwardMs - u) * (v.EastwardMs - u)), (float)vectors.Sum(v => (v.NorthwardMs - w) * (v.NorthwardMs - w)));
    }
}
