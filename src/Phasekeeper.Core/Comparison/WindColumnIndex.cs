using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Comparison;

/// <summary>Independent columns by time, to find the one nearest to a place and moment.</summary>
public sealed class WindColumnIndex
{
    private const double EarthRadiusKm = 6371.0088; // mean radius, IUGG: good to half a percent of a distance

    private readonly WindColumn[] _columns;
    private readonly long[] _times;

    /// <summary>Prepares columns in any order.</summary>
    public WindColumnIndex(IEnumerable<WindColumn> columns)
    {
        _columns = [.. columns.OrderBy(c => c.Time.TaiNanoseconds).ThenBy(c => c.Winds[0].Source, StringComparer.Ordinal).ThenBy(c => c.LatitudeDeg).ThenBy(c => c.LongitudeDeg)];
        _times = [.. _columns.Select(c => c.Time.TaiNanoseconds)];
    }

    /// <summary>
    /// The nearest column within the widest limits: smallest (distance/limit)² + (time/limit)² with the default limits as scale; the first in the order of time, source and place when several are. Null when
    /// there is none.
    /// </summary>
    public (WindColumn Column, double DistanceKm, double Minutes)? Nearest(Instant time, double latitudeDeg, double longitudeDeg, ComparisonLimits widest)
    {
        var reach = (long)(widest.Minutes * 60e9);
        var i = Array.BinarySearch(_times, time.TaiNanoseconds - reach);
        if (i < 0) i = ~i;
        else while (i > 0 && _times[i - 1] == _times[i]) i--;
        var best = double.PositiveInfinity;
        (WindColumn, double, double)? found = null;
        for (; i < _columns.Length && _times[i] <= time.TaiNanoseconds + reach; i++)
        {
            var minutes = (time - _columns[i].Time) / 60;
            // A degree of latitude is 111 km: most columns are ruled out without trigonometry.
            if (Math.Abs(_columns[i].LatitudeDeg - latitudeDeg) * 110 > widest.DistanceKm) continue;
            var distance = DistanceKm(latitudeDeg, longitudeDeg, _columns[i].LatitudeDeg, _columns[i].LongitudeDeg);
            if (distance > widest.DistanceKm) continue;
            double d = distance / ComparisonLimits.Default.DistanceKm, m = minutes / ComparisonLimits.Default.Minutes;
            if (d * d + m * m >= best) continue;
            best = d * d + m * m;
            found = (_columns[i], distance, minutes);
        }
        return found;
    }

    /// <summary>Great-circle distance on the mean sphere, km (haversine).</summary>
    public static double DistanceKm(double latitude1Deg, double longitude1Deg, double latitude2Deg, double longitude2Deg)
    {
        const double rad = Math.PI / 180;
        double a = Math.Sin((latitude2Deg - latitude1Deg) * rad / 2), b = Math.Sin((longitude2Deg - longitude1Deg) * rad / 2);
        return 2 * EarthRadiusKm * Math.Asin(Math.Min(1, Math.Sqrt(a * a + Math.Cos(latitude1Deg * rad) * Math.Cos(latitude2Deg * rad) * b * b)));
    }
}
